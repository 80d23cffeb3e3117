import { ClientsPart } from './clients-part';
import { KeysPart } from './keys-part';

export default function AccessSection() {
  return (
    <>
      <KeysPart />
      <ClientsPart />
    </>
  );
}
