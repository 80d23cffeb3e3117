/** Where a field is in the body: a JSON pointer as a URI fragment (RFC 6901, section 6). */
export function fieldPointer(path: readonly string[]): string {
  return ['#', ...path.map(asToken)].join('/');
}

const asToken = (name: string): string =>
  encodeURI(name.replaceAll('~', '~0').replaceAll('/', '~1')).replaceAll('#', '%23');
