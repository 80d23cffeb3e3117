import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Ajv from 'ajv';
import addFormats from 'ajv-formats';

// JSON schema of CloudEvents 1.0: repository cloudevents/spec, cloudevents/formats/cloudevents.json,
// commit c2845a49bc9831be02f305a4a792401b932d77d4 (Apache-2.0).
const SCHEMA = join(__dirname, '../reference/data/cloudevents.schema.json');

const ajv = new Ajv({ strict: false, allErrors: true });
addFormats(ajv);
const validate = ajv.compile(JSON.parse(readFileSync(SCHEMA, 'utf8')) as object);

// CloudEvents 1.0, "Naming conventions": lower-case letters and digits, and best no more than 20
const ATTRIBUTE = /^[a-z0-9]{1,20}$/;

/** What the schema and the rules for names that it does not express have against an event; empty if nothing. */
export function cloudEventFaults(event: object): string[] {
  const faults = validate(event)
    ? []
    : (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message ?? ''}`);
  const names = Object.keys(event).filter((name) => !ATTRIBUTE.test(name));
  return [...faults, ...names.map((name) => `${name} is no name of an attribute`)];
}
