/** A line of a file without its line end. `text` is null for one that is too long to be kept or not UTF-8 text. */
export interface PhysicalLine {
  number: number;
  text: string | null;
  fault: 'too-long' | 'not-utf-8' | null;
  /** bytes of the file up to and including this line */
  bytesRead: number;
}

const LINE_FEED = 0x0a;
const BYTE_ORDER_MARK = '\ufeff';

/**
 * Cuts a stream of bytes into lines ended by LF or CRLF. A line longer than `longestBytes` is passed over
 * without ever being held in memory as a whole.
 */
export async function* physicalLines(
  chunks: AsyncIterable<Buffer>,
  longestBytes: number,
): AsyncGenerator<PhysicalLine> {
  const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
  let parts: Buffer[] = [];
  let held = 0;
  let tooLong = false;
  let number = 0;
  let bytesRead = 0;

  const keep = (part: Buffer): void => {
    held += part.length;
    bytesRead += part.length;
    if (held > longestBytes) {
      tooLong = true;
      parts = [];
    } else if (!tooLong) parts.push(part);
  };
  const finish = (): PhysicalLine => {
    number += 1;
    const line: PhysicalLine = { number, text: null, fault: tooLong ? 'too-long' : null, bytesRead };
    if (!tooLong) {
      try {
        const text = decoder.decode(Buffer.concat(parts)).replace(/\r?\n?$/, '');
        // a file in UTF-16 is full of them, and the database cannot store one
        if (text.includes('\0')) line.fault = 'not-utf-8';
        else line.text = number === 1 && text.startsWith(BYTE_ORDER_MARK) ? text.slice(1) : text;
      } catch {
        // the decoder throws for nothing else
        line.fault = 'not-utf-8';
      }
    }
    parts = [];
    held = 0;
    tooLong = false;
    return line;
  };

  for await (const chunk of chunks) {
    let from = 0;
    for (let at = chunk.indexOf(LINE_FEED); at !== -1; at = chunk.indexOf(LINE_FEED, from)) {
      keep(chunk.subarray(from, at + 1));
      yield finish();
      from = at + 1;
    }
    if (from < chunk.length) keep(Buffer.from(chunk.subarray(from)));
  }
  if (held > 0) yield finish();
}
