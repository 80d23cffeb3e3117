/**
 * Applies a JSON merge patch (RFC 7396) whose members the validation pipe has checked: what is absent stays,
 * what is null is cleared, everything else replaces. Answers the names of the members that changed anything.
 */
export function applyMergePatch<T extends object>(target: T, patch: Partial<T>): (keyof T)[] {
  const changed: (keyof T)[] = [];
  for (const name of Object.keys(patch) as (keyof T)[]) {
    const value = patch[name];
    if (value === undefined || target[name] === value) continue;
    target[name] = value;
    changed.push(name);
  }
  return changed;
}
