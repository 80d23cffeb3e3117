const WITHOUT_MEANING = /^(commons?|helpers?|utils?|utility|utilities|misc)$/;
const KEBAB = /^\.?[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+(-[a-z0-9]+)*)*$/;

/** Files and folders whose name says nothing of what is in them, barrels, and names that are not kebab-case. */
export function nameBreaches(paths: string[]): string[] {
  return paths.flatMap((path) => {
    const segments = path.split('/');
    const words = segments.flatMap((segment) => segment.split(/[.-]/));
    return [
      ...(words.some((word) => WITHOUT_MEANING.test(word.toLowerCase())) ? [`says nothing: ${path}`] : []),
      ...(/(^|\/)index\.[cm]?[jt]s$/.test(path) ? [`barrel: ${path}`] : []),
      ...(segments.every((segment) => KEBAB.test(segment)) ? [] : [`not kebab-case: ${path}`]),
    ];
  });
}
