import { Page } from '../../design/page';

export default function JobSheetsPage() {
  return <Page title="JobSheetsPage">{null}</Page>;
}
