import js from '@eslint/js';
import reactHooks from 'eslint-plugin-react-hooks';
import tseslint from 'typescript-eslint';

export default tseslint.config(
  {
    ignores: [
      'dist',
      'node_modules',
      'coverage',
      '.data',
      'test/architecture/fixtures',
      'examples/integration/generated',
      'src/desk/generated',
    ],
  },
  js.configs.recommended,
  {
    files: ['**/*.ts', '**/*.tsx', '**/*.mts'],
    extends: [tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: {
        projectService: { allowDefaultProject: ['vite.config.mts'] },
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      // a template literal with a number in it is how this project writes messages
      '@typescript-eslint/restrict-template-expressions': [
        'error',
        { allowNumber: true, allowBoolean: true },
      ],
      // Nest modules are classes without members
      '@typescript-eslint/no-extraneous-class': ['error', { allowWithDecorator: true }],
      // classes with decorators describe the shape of requests and answers; plain objects are sent and answered
      '@typescript-eslint/no-unsafe-class-instance-assignment': 'off',
      '@typescript-eslint/no-misused-spread': 'off',
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
    },
  },
  {
    files: ['src/desk/**/*.{ts,tsx}'],
    extends: [reactHooks.configs.flat.recommended],
  },
  {
    files: ['src/core/**/*.ts'],
    rules: {
      'no-restricted-syntax': [
        'error',
        {
          selector: "NewExpression[callee.name='Date'][arguments.length=0]",
          message: 'the core has no clock: take the day as an argument',
        },
        {
          selector: "CallExpression[callee.object.name='Date'][callee.property.name='now']",
          message: 'the core has no clock',
        },
        {
          selector: "CallExpression[callee.object.name='Math'][callee.property.name='random']",
          message: 'the core has no dice: take a seed',
        },
        {
          selector: "CallExpression[callee.object.name='DateTime'][callee.property.name=/^(now|local|utc)$/]",
          message: 'the core has no clock',
        },
        { selector: ':function[async=true]', message: 'the core is synchronous' },
        { selector: 'AwaitExpression', message: 'the core is synchronous' },
      ],
      'no-restricted-globals': [
        'error',
        'process',
        'setTimeout',
        'setInterval',
        'setImmediate',
        'performance',
        'crypto',
        'fetch',
      ],
    },
  },
  {
    // arithmetic on flat arrays whose indices the same code makes: thousands of checks that cannot fail would hide it
    files: ['src/core/downtime-plan/**/*.ts', 'src/modules/downtime-plans/**/*.ts'],
    rules: { '@typescript-eslint/no-non-null-assertion': 'off' },
  },
  {
    files: ['test/**/*.ts'],
    rules: { '@typescript-eslint/no-non-null-assertion': 'off', '@typescript-eslint/unbound-method': 'off' },
  },
  {
    files: ['**/*.js', '**/*.mjs'],
    languageOptions: {
      globals: {
        Buffer: 'readonly',
        require: 'readonly',
        module: 'writable',
        process: 'readonly',
        console: 'readonly',
        __dirname: 'readonly',
      },
    },
  },
);
