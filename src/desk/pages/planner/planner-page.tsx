import { lazy, Suspense } from 'react';
import { Route, Switch } from 'wouter';
import { Page, Waiting } from '../../design/page';
import { PlannerPart } from './planner-part';

const DuePart = lazy(() => import('./due-part'));
const AvailabilityPart = lazy(() => import('./availability-part'));
const PlansPart = lazy(() => import('./plans-part'));
const PlanPart = lazy(() => import('./plan-part'));
const WhatIfPart = lazy(() => import('./what-if-part'));
const DemandPart = lazy(() => import('./demand-part'));
const SettingsPart = lazy(() => import('./settings-part'));

/** What falls due, what each depot can spare, and the plan that brings both together. */
export default function PlannerPage() {
  return (
    <Suspense
      fallback={
        <Page title="Planner">
          <Waiting what="the page" />
        </Page>
      }
    >
      <Switch>
        <Route path="/planner" component={DuePart} />
        <Route path="/planner/due" component={DuePart} />
        <Route path="/planner/availability" component={AvailabilityPart} />
        <Route path="/planner/plans" component={PlansPart} />
        <Route path="/planner/plans/:planId">
          {({ planId }) => <PlanPart key={planId} planId={planId} />}
        </Route>
        <Route path="/planner/what-if" component={WhatIfPart} />
        <Route path="/planner/demand" component={DemandPart} />
        <Route path="/planner/settings" component={SettingsPart} />
        <Route>
          <PlannerPart title="Not here">
            <p>There is no such page of the planner.</p>
          </PlannerPart>
        </Route>
      </Switch>
    </Suspense>
  );
}
