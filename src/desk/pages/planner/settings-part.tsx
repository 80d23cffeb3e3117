import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { SelectField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { BlackoutPeriods } from './blackout-periods';
import { PlanningSettingsForm } from './planning-settings-form';
import { depots, planningSettings, roster, workshopReach } from './planner-data';
import { PlannerPart, useMayPlan } from './planner-part';
import { ReachForm } from './reach-form';
import { RosterForm } from './roster-form';

/** What plans keep to and weigh: rosters, workshops within reach, money, days on which a vehicle stays on the road. */
export default function SettingsPart() {
  const mayPlan = useMayPlan();
  const settings = useQuery(planningSettings);
  const allDepots = useQuery(depots);
  const [chosen, setChosen] = useState('');
  const depotId = chosen === '' ? (allDepots.data?.[0]?.id ?? '') : chosen;
  return (
    <PlannerPart title="Planning settings" lead="What plans keep to, and what they weigh against each other.">
      {mayPlan ? null : <Notice tone="info" title="You can look at these. A fleet planner changes them." />}
      <ProblemNotice error={allDepots.error ?? settings.error} />
      <section className="stack" aria-label="By depot">
        <h2>By depot</h2>
        <SelectField label="Depot" value={depotId} onChange={(event) => setChosen(event.target.value)}>
          {(allDepots.data ?? []).map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
        {depotId === '' ? null : <DepotSettings key={depotId} depotId={depotId} mayPlan={mayPlan} />}
      </section>
      {settings.data === undefined ? (
        <Waiting what="settings" />
      ) : (
        <PlanningSettingsForm settings={settings.data} mayPlan={mayPlan} />
      )}
      <BlackoutPeriods mayPlan={mayPlan} />
    </PlannerPart>
  );
}

function DepotSettings({ depotId, mayPlan }: { depotId: string; mayPlan: boolean }) {
  const needs = useQuery(roster(depotId));
  const reach = useQuery(workshopReach(depotId));
  const settings = useQuery(planningSettings);
  return (
    <div className="columns">
      <div className="stack">
        <ProblemNotice error={needs.error} />
        {needs.data === undefined ? (
          <Waiting what="the roster" />
        ) : (
          <RosterForm roster={needs.data} mayPlan={mayPlan} />
        )}
      </div>
      <div className="stack">
        <ProblemNotice error={reach.error} />
        {reach.data === undefined ? (
          <Waiting what="workshops within reach" />
        ) : (
          <ReachForm reach={reach.data} mayPlan={mayPlan} currency={settings.data?.currency ?? ''} />
        )}
      </div>
    </div>
  );
}
