// Reads [{ path, text }] from standard input and prints what ESLint says of each. A process of its own: ESLint
// loads its configuration by a dynamic import, which the test runner cannot do.
const { ESLint } = require('eslint');

async function main() {
  const chunks = [];
  for await (const chunk of process.stdin) chunks.push(chunk);
  const eslint = new ESLint();
  const answers = [];
  for (const { path, text } of JSON.parse(chunks.join(''))) {
    const [result] = await eslint.lintText(text, { filePath: path });
    answers.push(result.messages.map(({ ruleId, message, line }) => ({ ruleId, message, line })));
  }
  console.log(JSON.stringify(answers));
}

main().catch((error) => {
  console.error(error);
  process.exitCode = 1;
});
