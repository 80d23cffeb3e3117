/** Physical lines as bytes; throws where a line does not end with CR and LF. */
export function octetLinesOf(text: string): Buffer[] {
  const bytes = Buffer.from(text);
  const lines: Buffer[] = [];
  let start = 0;
  bytes.forEach((byte, at) => {
    if (byte !== 0x0a) return;
    if (bytes[at - 1] !== 0x0d) throw new Error(`a line feed alone at ${at}`);
    lines.push(bytes.subarray(start, at - 1));
    start = at + 1;
  });
  if (start !== bytes.length) throw new Error('the last line has no end');
  return lines;
}
