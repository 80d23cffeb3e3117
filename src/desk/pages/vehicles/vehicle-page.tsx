import { Page } from '../../design/page';

export default function VehiclePage() {
  return <Page title="VehiclePage">{null}</Page>;
}
