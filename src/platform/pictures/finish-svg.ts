/**
 * Takes out of a rendered chart what differs from one rendering to the next or serves only a live page, and adds
 * a title and a description for those who cannot see it. Texts in a rendered chart are escaped, so that a pattern
 * with `<` or `"` only meets markup.
 *
 * @param key begins every id, so that several pictures may stand in one page
 */
export function finishSvg(rendered: string, key: string, title: string, description: string): string {
  const id = key.replace(/[^\w-]/g, '');
  const bare = rendered
    .replace(/<style ><!\[CDATA\[[^<]*\]\]>\s*<\/style>/g, '')
    .replace(/ (?:class|pointer-events|ecmeta_[a-z_]+)="[^"]*"/g, '')
    .replace(/ id="zr\d+-([^"]*)"/g, ` id="${id}-$1"`)
    .replace(/="url\(#zr\d+-([^")]*)\)"/g, `="url(#${id}-$1)"`)
    // not every viewer knows the central baseline
    .replace(/ dominant-baseline="central"/g, ' dy="0.35em"')
    .replace(/\n\s*\n+/g, '\n');
  const names =
    `<title id="${id}-title">${escaped(title)}</title>\n` +
    `<desc id="${id}-desc">${escaped(description)}</desc>`;
  return bare.replace(
    /^<svg ([^>]*)>/,
    (_, attributes: string) =>
      `<svg ${attributes} role="img" aria-labelledby="${id}-title" aria-describedby="${id}-desc">\n${names}`,
  );
}

function escaped(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');
}
