import type { Part, SystemDrawing } from './scheme';

/** A part of the drawing in words: what it is, and what it feeds. */
export interface PartInWords {
  id: string;
  name: string;
  notes: string[];
  feeds: string[];
}

/** What the drawing shows, as a list, for whoever does not see it. Junctions are passed through. */
export function systemInWords({ parts, pipes }: SystemDrawing): PartInWords[] {
  const byId = new Map(parts.map((each) => [each.id, each]));
  const fedBy = (id: string): string[] =>
    pipes
      .filter(({ from }) => from.part === id)
      .flatMap(({ to }) => {
        const part = byId.get(to.part);
        if (part === undefined) return [];
        return part.symbol === 'junction' ? fedBy(part.id) : [part.name];
      });
  return parts
    .filter(({ symbol }) => symbol !== 'junction')
    .map(({ id, name, notes }: Part) => ({ id, name, notes, feeds: [...new Set(fedBy(id))] }));
}
