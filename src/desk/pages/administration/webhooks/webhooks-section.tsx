import { Route, Switch } from 'wouter';
import { EndpointPart } from './endpoint-part';
import { EndpointsPart } from './endpoints-part';

export default function WebhooksSection() {
  return (
    <Switch>
      <Route path="/administration/webhooks/:endpointId">
        {({ endpointId }) => <EndpointPart key={endpointId} endpointId={endpointId} />}
      </Route>
      <Route>
        <EndpointsPart />
      </Route>
    </Switch>
  );
}
