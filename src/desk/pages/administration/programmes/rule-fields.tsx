import type { ReactNode } from 'react';
import type { FormFields } from '../parts/form-fields';
import groups from '../parts/form-fields.module.css';
import { usePositions, useUnitTypes } from '../parts/lists';
import styles from './programmes.module.css';
import { hasField, type RulePlace, type RuleValues } from './rule-values';

const KINDS = [
  { value: 'recurring', name: 'Comes back after every completion' },
  { value: 'campaign', name: 'Owed once' },
  { value: 'follow-up', name: 'Owed after another task' },
];
const SCOPES = [
  { value: 'vehicle', name: 'The vehicle' },
  { value: 'unit', name: 'Each gas unit' },
];
const WHICHEVER = [
  { value: 'first', name: 'the first that is reached' },
  { value: 'last', name: 'the last that is reached' },
];
const CADENCES = [
  { value: 'from-completion', name: 'from the completion' },
  { value: 'fixed', name: 'from the day before: occurrences stay where they are' },
];
const AGES = [
  { value: 'manufacture', name: 'manufacture' },
  { value: 'last-charge', name: 'the last charge' },
];

/** The usual fields of a rule; only those that its kind and scope have. */
export function RuleFields({ fields }: { fields: FormFields<RuleValues> }) {
  const positions = usePositions();
  const types = useUnitTypes();
  const { values } = fields;
  const number = (place: RulePlace, label: string, unit?: string): ReactNode =>
    hasField(place, values) ? fields.number(place, label, unit === undefined ? {} : { unit }) : null;
  const words = (place: RulePlace, label: string, hint: string): ReactNode =>
    hasField(place, values) ? fields.text(place, label, { hint }) : null;
  const codes = (known: readonly { code: string }[] | undefined): string =>
    (known ?? []).map(({ code }) => code).join(', ');
  return (
    <>
      <Group legend="What">
        {fields.text('code', 'Code', { required: true, hint: 'The same from version to version.' })}
        {fields.text('task', 'Task', { required: true, hint: 'Several rules may ask for the same task.' })}
        {fields.text('title', 'Title', { hint: 'For people.' })}
        {fields.text('source', 'Figures from', { hint: 'Which schedule or law, and its issue.' })}
        {fields.select('kind', 'Kind', KINDS)}
        {fields.select('scope', 'For', SCOPES)}
      </Group>
      <Group legend="Whom">
        {words('appliesTo/fluids', 'Fluids', 'Such as mineral. Empty: any.')}
        {words('appliesTo/dutyClasses', 'Duty classes', 'Empty: any.')}
        {words('appliesTo/unitTypes', 'Types of units', `Empty: any. Known: ${codes(types.data)}`)}
        {words('positions', 'Positions', `Empty: every one. Known: ${codes(positions.data)}`)}
        {number('appliesTo/vehicleAgeMonths/from', 'From an age of', 'months')}
        {number('appliesTo/vehicleAgeMonths/until', 'Until an age of', 'months')}
      </Group>
      <Group legend="When">
        {number('everyMonths', 'Every so many months')}
        {number('everyDays', 'and so many days')}
        {number('everyKm', 'Every so many km')}
        {number('everyEngineHours', 'Every so many engine hours')}
        {number('first/months', 'First time after months')}
        {number('first/days', 'First time after days')}
        {number('first/km', 'First time after km')}
        {number('first/engineHours', 'First time after engine hours')}
        {number('unitAgeMonths', 'At an age of the unit of', 'months')}
        {hasField('unitAgeMonths', values) ? fields.select('unitAgeSince', 'Age counted from', AGES) : null}
        {number('prechargeLimit/shareOfNominal', 'When the precharge falls below', 'of nominal')}
        {number('prechargeLimit/dueAtProbability', 'with a probability of', '0 to 1')}
        {hasField('campaign/byOn', values) ? fields.date('campaign/byOn', 'By') : null}
        {number('campaign/byOdometerKm', 'By an odometer of', 'km')}
        {hasField('campaign/issuedOn', values)
          ? fields.date('campaign/issuedOn', 'Issued on', { hint: 'Work before that day does not count.' })
          : null}
        {words('followUp/afterTask', 'After the task', 'Its code.')}
        {number('followUp/months', 'After so many months')}
        {number('followUp/days', 'and so many days')}
        {number('followUp/km', 'After so many km')}
        {number('followUp/engineHours', 'After so many engine hours')}
        {fields.select('whichever', 'Of several limits counts', WHICHEVER)}
        {values.kind === 'recurring' ? fields.select('cadence', 'The next one counts', CADENCES) : null}
      </Group>
      <Group legend="How much earlier or later it may be done">
        {number('tolerance/earlyDays', 'Earlier by days')}
        {number('tolerance/lateDays', 'Later by days')}
        {number('tolerance/earlyKm', 'Earlier by km')}
        {number('tolerance/lateKm', 'Later by km')}
      </Group>
      {fields.check('safetyCritical', 'Safety-critical', 'A vehicle on which it is overdue is on hold.')}
      <Group legend="The work">
        {number('labourMinutes', 'Labour', 'min')}
        {words('bayKind', 'Kind of bay', 'Such as lift. Empty: any.')}
        {words('competences', 'Competences', 'By their codes, separated by commas.')}
        {words('satisfies', 'Other tasks done with it', 'By their codes.')}
        {words('doBefore', 'Tasks to be done before it', 'By their codes.')}
      </Group>
    </>
  );
}

function Group({ legend, children }: { legend: string; children: ReactNode }) {
  return (
    <fieldset className={groups.group}>
      <legend>{legend}</legend>
      <div className={styles.fields}>{children}</div>
    </fieldset>
  );
}
