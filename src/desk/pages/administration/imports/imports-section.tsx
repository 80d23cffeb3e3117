import { Route, Switch } from 'wouter';
import { HandOverPart } from './hand-over-part';
import { ImportPart } from './import-part';
import { ImportsPart } from './imports-part';

export default function ImportsSection() {
  return (
    <Switch>
      <Route path="/administration/imports/:importId">
        {({ importId }) => <ImportPart key={importId} importId={importId} />}
      </Route>
      <Route>
        <HandOverPart />
        <ImportsPart />
      </Route>
    </Switch>
  );
}
