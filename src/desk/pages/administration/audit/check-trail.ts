import { answered, api, type Schemas } from '../../../api/client';
import type { NotedHead } from './heads';

type Check = Schemas['AuditCheckDto'];

export interface CheckedTrail {
  entries: number;
  last: Check;
}

/** Checks the whole chain, one stretch after the other, and tells how far it is. Stops at the first fault. */
export async function checkTrail(
  heads: readonly NotedHead[],
  tell: (entries: number) => void,
): Promise<CheckedTrail> {
  let entries = 0;
  let after: NotedHead | undefined;
  for (;;) {
    const last: Check = await answered(
      api.POST('/v1/audit-checks', {
        body: { heads: [...heads], ...(after === undefined ? {} : { after }) },
      }),
    );
    entries += last.entriesChecked;
    tell(entries);
    if (last.fault !== null || last.complete) return { entries, last };
    after = { position: last.checkedUpTo.position, hash: last.checkedUpTo.hash };
  }
}
