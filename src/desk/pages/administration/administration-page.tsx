import { Page } from '../../design/page';

export default function AdministrationPage() {
  return <Page title="AdministrationPage">{null}</Page>;
}
