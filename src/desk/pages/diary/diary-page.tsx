import { Page } from '../../design/page';

export default function DiaryPage() {
  return <Page title="DiaryPage">{null}</Page>;
}
