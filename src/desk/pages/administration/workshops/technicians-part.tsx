import { useMemo, useState } from 'react';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { StateMark } from '../../../design/state-mark';
import { dayText, todayOn } from '../../../format/days';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { useTechnicians } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { TechnicianDialog } from './technician-dialog';
import type { Workshop } from './workshop-values';
import type { Technician } from './technician';

export function TechniciansPart({ workshop }: { workshop: Workshop }) {
  const technicians = useTechnicians(workshop.id);
  const { locale } = useReader();
  const today = todayOn(workshop.zone);
  const [edited, setEdited] = useState<Technician | 'new' | null>(null);
  const columns = useMemo(
    () => [
      column<Technician>('Technician', ({ name }) => name),
      column<Technician>(
        'Competences',
        ({ competences }) => competences.map(({ code }) => code).join(', '),
        ({ competences }) => <Competences competences={competences} today={today} locale={locale} />,
      ),
      column<Technician>('Absences', ({ absences }) => absences.length),
      column<Technician>(
        'State',
        ({ retiredOn }) => retiredOn ?? '',
        ({ retiredOn }) =>
          retiredOn === null ? (
            <StateMark tone="good">works here</StateMark>
          ) : (
            <StateMark tone="unknown">not here from {dayText(retiredOn, locale)}</StateMark>
          ),
      ),
      actions<Technician>((technician) => (
        <Button
          kind="quiet"
          aria-label={`Change technician ${technician.name}`}
          onClick={() => setEdited(technician)}
        >
          Change
        </Button>
      )),
    ],
    [locale, today],
  );
  return (
    <Part title="Technicians" tools={<Button onClick={() => setEdited('new')}>Add a technician</Button>}>
      <Listed what="the technicians" query={technicians}>
        {(rows) => (
          <DataTable
            caption="Technicians"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="Nobody works here yet: without somebody nothing can be booked."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <TechnicianDialog
          workshop={workshop}
          technician={edited === 'new' ? null : edited}
          onClose={() => setEdited(null)}
        />
      )}
    </Part>
  );
}

interface CompetencesProps {
  competences: Technician['competences'];
  today: string;
  locale: string;
}

function Competences({ competences, today, locale }: CompetencesProps) {
  if (competences.length === 0) return 'none';
  return competences.map(({ code, lastOn }) => (
    <div key={code}>
      {lastOn === null || lastOn === undefined ? (
        code
      ) : lastOn < today ? (
        <StateMark tone="bad">
          {code}, ended {dayText(lastOn, locale)}
        </StateMark>
      ) : (
        `${code}, until ${dayText(lastOn, locale)}`
      )}
    </div>
  ));
}
