import { Page } from '../../design/page';

export default function VehiclesPage() {
  return <Page title="VehiclesPage">{null}</Page>;
}
