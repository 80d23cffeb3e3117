import { Page } from '../../design/page';

export default function UnitPage() {
  return <Page title="UnitPage">{null}</Page>;
}
