import ts from 'typescript';
import { SourceFile } from './source-files';

const EXPECTS = /^(expect|assert)/;
const MODIFIERS = ['each', 'skip', 'only', 'todo', 'failing', 'concurrent'];

/**
 * Tests that cannot fail by what they find (no call of an `expect…` or `assert…`, directly or through functions
 * of the same file), and tests that are switched off or switch the others off.
 */
export function testBreaches(files: SourceFile[]): string[] {
  return files.flatMap(({ path, text }) => {
    const source = ts.createSourceFile(path, text, ts.ScriptTarget.ES2023, true);
    const functions = namedFunctions(source);
    const breaches: string[] = [];
    const visit = (node: ts.Node): void => {
      if (ts.isCallExpression(node)) {
        const modifiers = testModifiers(node);
        if (modifiers !== null)
          breaches.push(...breachesOf(node, modifiers, functions).map((each) => `${path} ${each}`));
      }
      ts.forEachChild(node, visit);
    };
    visit(source);
    return breaches;
  });
}

function breachesOf(call: ts.CallExpression, modifiers: string[], functions: Map<string, ts.Node>): string[] {
  const [title, body] = call.arguments;
  const name = title === undefined ? '' : title.getText();
  const switched = modifiers.find((modifier) => ['skip', 'only', 'todo', 'failing'].includes(modifier));
  if (switched !== undefined) return [`${name} is marked ${switched}`];
  // test.each(table) without its second call is not a test yet
  if (body === undefined) return [];
  return expects(body, functions, new Set()) ? [] : [`${name} expects nothing`];
}

// the words after `test` or `it`, or null for any other call: test.each(table)(…) gives ['each']
function testModifiers(call: ts.CallExpression): string[] | null {
  const words: string[] = [];
  let callee: ts.Expression = call.expression;
  for (;;) {
    if (ts.isCallExpression(callee)) callee = callee.expression;
    else if (ts.isTaggedTemplateExpression(callee)) callee = callee.tag;
    else if (ts.isPropertyAccessExpression(callee)) {
      words.unshift(callee.name.text);
      callee = callee.expression;
    } else break;
  }
  // a variable that is called test has other members
  if (words.some((word) => !MODIFIERS.includes(word))) return null;
  if (!ts.isIdentifier(callee) || !['test', 'it', 'xtest', 'xit', 'fit'].includes(callee.text)) return null;
  const isTable =
    words.at(-1) === 'each' &&
    !ts.isCallExpression(call.expression) &&
    !ts.isTaggedTemplateExpression(call.expression);
  if (isTable) return null;
  if (callee.text.startsWith('x')) words.push('skip');
  if (callee.text === 'fit') words.push('only');
  return words;
}

function namedFunctions(source: ts.SourceFile): Map<string, ts.Node> {
  const functions = new Map<string, ts.Node>();
  const visit = (node: ts.Node): void => {
    if (ts.isFunctionDeclaration(node) && node.name) functions.set(node.name.text, node);
    if (ts.isVariableDeclaration(node) && ts.isIdentifier(node.name) && node.initializer)
      functions.set(node.name.text, node.initializer);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return functions;
}

function expects(node: ts.Node, functions: Map<string, ts.Node>, seen: Set<string>): boolean {
  if (ts.isIdentifier(node) && functions.has(node.text) && isUsedAsFunction(node) && !seen.has(node.text)) {
    seen.add(node.text);
    if (expects(functions.get(node.text)!, functions, seen)) return true;
  }
  if (ts.isCallExpression(node)) {
    const callee = node.expression;
    const name = ts.isPropertyAccessExpression(callee)
      ? callee.name.text
      : ts.isIdentifier(callee)
        ? callee.text
        : '';
    if (EXPECTS.test(name)) return true;
  }
  return ts.forEachChild(node, (child) => expects(child, functions, seen) || undefined) ?? false;
}

function isUsedAsFunction(node: ts.Identifier): boolean {
  return ts.isCallExpression(node.parent);
}
