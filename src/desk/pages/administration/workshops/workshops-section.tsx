import { Route, Switch } from 'wouter';
import { WorkshopPart } from './workshop-part';
import { WorkshopsPart } from './workshops-part';

export default function WorkshopsSection() {
  return (
    <Switch>
      <Route path="/administration/workshops/:workshopId">
        {({ workshopId }) => <WorkshopPart key={workshopId} workshopId={workshopId} />}
      </Route>
      <Route>
        <WorkshopsPart />
      </Route>
    </Switch>
  );
}
