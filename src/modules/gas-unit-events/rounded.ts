// A gauge shows tenths of a bar; what is answered keeps two digits more than anybody can read.
export function roundedBar(bar: number): number {
  return roundedTo(bar, 3);
}

export function roundedTo(value: number, digits: number): number {
  const scale = 10 ** digits;
  return Math.round(value * scale) / scale;
}
