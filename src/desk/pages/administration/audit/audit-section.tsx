import { CheckPart } from './check-part';
import { EntriesPart } from './entries-part';

export default function AuditSection() {
  return (
    <>
      <CheckPart />
      <EntriesPart />
    </>
  );
}
