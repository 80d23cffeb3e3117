/** Prints the heading of a part of what the demo shows. */
export function heading(text: string): void {
  console.log(`\n${text}\n${'='.repeat(text.length)}`);
}
