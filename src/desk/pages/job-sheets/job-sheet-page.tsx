import { Page } from '../../design/page';

export default function JobSheetPage() {
  return <Page title="JobSheetPage">{null}</Page>;
}
