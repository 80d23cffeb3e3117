import 'reflect-metadata';
import { globSync } from 'node:fs';
import { join } from 'node:path';
import { getMetadataStorage } from 'class-validator';
import { readContract, type Contract } from '../support/contract-check';

// The contract is made from the sources by a plugin. What it cannot read it leaves out without a word, such as a
// bound written -1_000; and nobody who works by the contract alone could then fill the field in.

const MODULES = join(__dirname, '../../src/modules');

type BodyClass = new () => object;

/** Every class of the modules whose fields are checked when a request comes in. */
async function checkedClasses(): Promise<BodyClass[]> {
  const files = globSync('*/dto/*.dto.ts', { cwd: MODULES });
  const loaded = await Promise.all(
    files.map((file) => import(join(MODULES, file)) as Promise<Record<string, unknown>>),
  );
  return loaded
    .flatMap((exported) => Object.values(exported))
    .filter((one): one is BodyClass => typeof one === 'function' && /^class\b/.test(String(one)));
}

/** Fields that the validation knows of a class and its schema does not. */
function unnamedFields(contract: Contract, body: BodyClass): string[] {
  const schema = contract.components.schemas[body.name];
  if (schema === undefined) return [];
  const named = Object.keys(schema.properties ?? {});
  const checked = getMetadataStorage()
    .getTargetValidationMetadatas(body, '', false, false)
    .map(({ propertyName }) => propertyName);
  return [...new Set(checked)].filter((name) => !named.includes(name)).map((name) => `${body.name}.${name}`);
}

it('every field that a body may have stands in the contract', async () => {
  const contract = readContract();
  const classes = await checkedClasses();
  expect(classes.filter(({ name }) => name in contract.components.schemas).length).toBeGreaterThan(50);
  expect(classes.flatMap((body) => unnamedFields(contract, body))).toEqual([]);
});

it('a field that is missing would be found', async () => {
  const contract = structuredClone(readContract());
  const properties = contract.components.schemas.RecordPrechargeTestDto?.properties as Record<
    string,
    unknown
  >;
  delete properties.pressureBarGauge;
  const classes = await checkedClasses();
  expect(classes.flatMap((body) => unnamedFields(contract, body))).toEqual([
    'RecordPrechargeTestDto.pressureBarGauge',
  ]);
});
