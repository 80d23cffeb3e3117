import ts from 'typescript';
import { SourceFile } from './source-files';

const TRANSACTION_TYPES = ['Tx', 'EntityManager'];
const WAYS_AROUND = /\b(DataSource|Repository|EntityManager|Transactions|QueryRunner|Pool|Client|Tx)\b/;

/**
 * Breaches of "every repository method takes the transaction's manager as a required first argument, and no
 * repository keeps a way around it": public methods without it, and constructor parameters or fields that
 * hold a connection. Readers count as well as writers: outside a transaction row security shows nothing.
 * What a source scan cannot see: a method that takes the manager and then does not use it.
 */
export function repositoryBreaches(files: SourceFile[]): string[] {
  return files.flatMap(({ path, text }) => {
    const source = ts.createSourceFile(path, text, ts.ScriptTarget.ES2023, true);
    const breaches: string[] = [];
    for (const statement of source.statements) {
      if (!ts.isClassDeclaration(statement)) continue;
      for (const member of statement.members)
        breaches.push(...memberBreaches(member, source).map((breach) => `${path} ${breach}`));
    }
    return breaches;
  });
}

function memberBreaches(member: ts.ClassElement, source: ts.SourceFile): string[] {
  if (ts.isConstructorDeclaration(member))
    return member.parameters
      .filter((parameter) => holdsConnection(parameter.type, source))
      .map((parameter) => `constructor holds ${parameter.type?.getText(source) ?? ''}`);
  if (ts.isPropertyDeclaration(member) && holdsConnection(member.type, source))
    return [`field ${member.name.getText(source)} holds ${member.type?.getText(source) ?? ''}`];
  if (!ts.isMethodDeclaration(member) || isPrivate(member)) return [];
  const name = member.name.getText(source);
  const [first] = member.parameters;
  if (!first?.type || !TRANSACTION_TYPES.includes(first.type.getText(source)))
    return [`${name} does not take the transaction first`];
  return first.questionToken || first.initializer ? [`${name} takes the transaction optionally`] : [];
}

function holdsConnection(type: ts.TypeNode | undefined, source: ts.SourceFile): boolean {
  return type !== undefined && WAYS_AROUND.test(type.getText(source));
}

function isPrivate(member: ts.MethodDeclaration): boolean {
  return (
    ts.isPrivateIdentifier(member.name) ||
    (member.modifiers?.some((modifier) => modifier.kind === ts.SyntaxKind.PrivateKeyword) ?? false)
  );
}
