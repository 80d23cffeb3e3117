import { Page } from '../../design/page';

export default function PlannerPage() {
  return <Page title="PlannerPage">{null}</Page>;
}
