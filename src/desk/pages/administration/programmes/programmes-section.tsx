import { Route, Switch } from 'wouter';
import { ProgrammePart } from './programme-part';
import { ProgrammesPart } from './programmes-part';
import { VersionPart } from './version-part';

const HOME = '/administration/programmes';

export default function ProgrammesSection() {
  return (
    <Switch>
      <Route path={`${HOME}/:programmeId/:versionId`}>
        {({ programmeId, versionId }) => (
          <VersionPart key={versionId} programmeId={programmeId} versionId={versionId} />
        )}
      </Route>
      <Route path={`${HOME}/:programmeId`}>
        {({ programmeId }) => <ProgrammePart key={programmeId} programmeId={programmeId} />}
      </Route>
      <Route>
        <ProgrammesPart />
      </Route>
    </Switch>
  );
}
