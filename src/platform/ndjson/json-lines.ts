import { physicalLines, type PhysicalLine } from '../bulk/physical-lines';

/** One line of a file of JSON objects, or why it is none. */
export interface JsonLine {
  /** line of the file; the first is 1 */
  lineNumber: number;
  value: Readonly<Record<string, unknown>> | null;
  /** as it stood in the file */
  raw: string;
  error: string | null;
  bytesRead: number;
}

export const LONGEST_LINE_BYTES = 1_048_576;
/** Levels of objects and arrays within a line. */
export const DEEPEST_NESTING = 16;

/**
 * Reads newline-delimited JSON: an object on each line (RFC 8259), UTF-8, lines ended by LF or CRLF; empty lines are
 * passed over. Stricter than a JSON parser in one thing: a name that stands twice in one object is an error
 * (RFC 7493, section 2.3), since nobody can say which of the two was meant. A bad line costs only itself.
 */
export async function* jsonLines(chunks: AsyncIterable<Buffer>): AsyncGenerator<JsonLine> {
  for await (const line of physicalLines(chunks, LONGEST_LINE_BYTES)) {
    if (line.text?.trim() === '') continue;
    yield {
      lineNumber: line.number,
      raw: line.text ?? '',
      bytesRead: line.bytesRead,
      value: null,
      error: null,
      ...objectOf(line),
    };
  }
}

function objectOf({ text, fault }: PhysicalLine): Partial<JsonLine> {
  if (text === null) {
    return {
      error:
        fault === 'too-long'
          ? `the line is longer than ${LONGEST_LINE_BYTES} bytes`
          : 'the line is not UTF-8 text: save the file as UTF-8',
    };
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    // the parser throws for nothing else
    return { error: 'the line is not JSON: write one whole object on it' };
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value))
    return { error: 'the line is JSON, but no object' };
  const error = faultOf(text);
  return error === null ? { value: value as Record<string, unknown> } : { error };
}

// strings, each with the colon that makes it a name, and brackets
const TOKENS = /"(?:[^"\\]|\\.)*"(\s*:)?|[{}[\]]/g;

/** What a parser lets pass in a text that is JSON; null for nothing. */
function faultOf(json: string): string | null {
  const names: Set<string>[] = [];
  for (const [token, colon] of json.matchAll(TOKENS)) {
    if (token === '{' || token === '[') {
      if (names.push(new Set()) > DEEPEST_NESTING)
        return `the line is nested deeper than ${DEEPEST_NESTING} levels`;
    } else if (token === '}' || token === ']') names.pop();
    else if (colon !== undefined) {
      const name = JSON.parse(token.slice(0, -colon.length)) as string;
      if (names.at(-1)?.has(name) === true)
        return `the name ${JSON.stringify(name)} stands twice in one object`;
      names.at(-1)?.add(name);
    }
  }
  return null;
}
