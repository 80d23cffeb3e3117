import { Page } from '../../design/page';

export default function FrontDeskPage() {
  return <Page title="FrontDeskPage">{null}</Page>;
}
