import { chromium, type Browser } from 'playwright-core';

// As root, and in containers, Chromium cannot put itself into a sandbox; here it sees nothing but this product. Of the
// package's own arguments none is wanted: they would switch off what protects pages from each other.
const ARGUMENTS = ['--no-sandbox'];

/** The browser at CHROME_PATH, else the one that comes with the packages. */
export async function startBrowser(): Promise<Browser> {
  const own = process.env.CHROME_PATH;
  if (own !== undefined && own !== '') return chromium.launch({ executablePath: own, args: ARGUMENTS });
  const { default: packed } = await import('@sparticuz/chromium');
  return chromium.launch({ executablePath: await packed.executablePath(), args: ARGUMENTS });
}
