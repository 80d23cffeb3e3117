import { Page } from '../../design/page';

export default function CalculatorsPage() {
  return <Page title="CalculatorsPage">{null}</Page>;
}
