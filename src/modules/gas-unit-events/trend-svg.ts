// what XML 1.0 does not allow, half of a surrogate pair included
const NOT_IN_XML = /[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu;
const LONGEST_TEXT = 80;

/** A text from outside on one line, without what XML cannot hold, cut to a length that fits a picture. */
export function plainText(text: string, longest = LONGEST_TEXT): string {
  const characters = Array.from(text.replace(NOT_IN_XML, '\u{FFFD}').replace(/\s+/g, ' ').trim());
  return characters.length <= longest ? characters.join('') : `${characters.slice(0, longest - 1).join('')}…`;
}

/**
 * Takes out of a rendered chart what differs from one rendering to the next or serves only a live page
 * (numbered classes, hover styles, event data), and adds a title and a description for those who cannot see
 * it. Texts in a rendered chart are escaped, so that a pattern with `<` or `"` only meets markup.
 */
export function finishSvg(rendered: string, title: string, description: string): string {
  const bare = rendered
    .replace(/<style ><!\[CDATA\[[^<]*\]\]>\s*<\/style>/g, '')
    .replace(/ (?:class|pointer-events|ecmeta_[a-z_]+)="[^"]*"/g, '')
    .replace(/ id="zr\d+-([^"]*)"/g, ' id="trend-$1"')
    .replace(/="url\(#zr\d+-([^")]*)\)"/g, '="url(#trend-$1)"')
    // not every viewer knows the central baseline
    .replace(/ dominant-baseline="central"/g, ' dy="0.35em"')
    .replace(/\n\s*\n+/g, '\n');
  const names =
    `<title id="trend-title">${escaped(title)}</title>\n` +
    `<desc id="trend-desc">${escaped(description)}</desc>`;
  return bare.replace(
    /^<svg ([^>]*)>/,
    (_, attributes: string) =>
      `<svg ${attributes} role="img" aria-labelledby="trend-title" aria-describedby="trend-desc">\n${names}`,
  );
}

function escaped(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');
}
