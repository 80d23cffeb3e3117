import { answered, api, ifMatch } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { TextField } from '../../../design/field';
import type { FormFields } from '../parts/form-fields';
import { useReadAgain } from '../parts/lists';
import { RecordForm } from '../parts/record-form';
import { RowsFields } from '../parts/rows-fields';
import { without } from '../parts/three-way';
import { textOrNull } from '../parts/typed';
import { AbsenceFields } from './absence-fields';
import { shownAbsences, typedAbsences } from './absences';
import { shownShiftDays, shownWeek, typedShiftDays, typedWeek } from './hours';
import type { Technician } from './technician';
import { WeekFields } from './week-fields';
import type { Workshop } from './workshop-values';

const valuesOf = (technician: Technician | null, workshop: Workshop) => ({
  name: technician?.name ?? '',
  competences: (technician?.competences ?? []).map(({ code, lastOn, evidence }) => ({
    code,
    lastOn: lastOn ?? '',
    evidence: evidence ?? '',
  })),
  // somebody new works while the workshop is open, until their shifts are entered
  shifts: shownWeek(technician?.shifts ?? workshop.weeklyHours),
  shiftExceptions: shownShiftDays(technician?.shiftExceptions ?? []),
  absences: shownAbsences(technician?.absences ?? [], workshop.zone),
  retiredOn: technician?.retiredOn ?? '',
});
type TechnicianValues = ReturnType<typeof valuesOf>;

const bodyOf = (values: TechnicianValues, zone: string) => ({
  name: values.name,
  competences: values.competences.map(({ code, lastOn, evidence }) => ({
    code,
    lastOn: textOrNull(lastOn),
    evidence: textOrNull(evidence),
  })),
  shifts: typedWeek(values.shifts, 'shifts'),
  shiftExceptions: typedShiftDays(values.shiftExceptions, 'shiftExceptions'),
  absences: typedAbsences(values.absences, zone),
  retiredOn: textOrNull(values.retiredOn),
});

interface TechnicianDialogProps {
  workshop: Workshop;
  technician: Technician | null;
  onClose: () => void;
}

export function TechnicianDialog({ workshop, technician, onClose }: TechnicianDialogProps) {
  const readAgain = useReadAgain();
  const { id: workshopId, zone } = workshop;
  return (
    <Dialog title={technician === null ? 'A new technician' : technician.name} onClose={onClose}>
      <RecordForm
        record={technician}
        valuesOf={(from: Technician | null) => valuesOf(from, workshop)}
        bodyOf={(values) => bodyOf(values, zone)}
        create={(body) =>
          answered(
            api.POST('/v1/workshops/{workshopId}/technicians', {
              params: { path: { workshopId } },
              body: without(body, 'retiredOn'),
            }),
          )
        }
        change={(body, base) =>
          answered(
            api.PATCH('/v1/technicians/{technicianId}', {
              params: { path: { technicianId: base.id }, header: ifMatch(base) },
              body,
            }),
          )
        }
        readAgain={({ id }) =>
          answered(api.GET('/v1/technicians/{technicianId}', { params: { path: { technicianId: id } } }))
        }
        onKept={() => {
          readAgain('workshops', workshopId);
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            <CompetenceFields fields={fields} />
            <WeekFields
              legend="Shifts"
              hint="Such as 07:00–15:30, on the workshop’s clock; they count while it is open."
              empty="off"
              week={fields.values.shifts}
              fault={fields.faultAt('shifts')}
              onChange={(shifts) => fields.set({ shifts })}
            />
            <ShiftDayFields fields={fields} />
            <AbsenceFields
              legend="Absences"
              add="Add an absence"
              rows={fields.values.absences}
              place="absences"
              faultAt={fields.faultAt}
              onChange={(absences) => fields.set({ absences })}
            />
            {technician === null
              ? null
              : fields.date('retiredOn', 'Not here from', { hint: 'Empty: goes on working here.' })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}

function CompetenceFields({ fields }: { fields: FormFields<TechnicianValues> }) {
  return (
    <RowsFields
      legend="Competences"
      hint="By the codes that rules ask for. One that has ended counts no more."
      rows={fields.values.competences}
      blank={{ code: '', lastOn: '', evidence: '' }}
      add="Add a competence"
      onChange={(competences) => fields.set({ competences })}
      place="competences"
      faultAt={fields.faultAt}
    >
      {(row, set) => (
        <>
          <TextField label="Code" value={row.code} onChange={({ target }) => set({ code: target.value })} />
          <TextField
            label="Last day"
            type="date"
            value={row.lastOn}
            onChange={({ target }) => set({ lastOn: target.value })}
          />
          <TextField
            label="Evidence"
            value={row.evidence}
            onChange={({ target }) => set({ evidence: target.value })}
          />
        </>
      )}
    </RowsFields>
  );
}

function ShiftDayFields({ fields }: { fields: FormFields<TechnicianValues> }) {
  return (
    <RowsFields
      legend="Days with other shifts"
      hint="Empty hours: off on that day."
      rows={fields.values.shiftExceptions}
      blank={{ on: '', hours: '', note: '' }}
      add="Add a day"
      onChange={(shiftExceptions) => fields.set({ shiftExceptions })}
      place="shiftExceptions"
      faultAt={fields.faultAt}
    >
      {(row, set) => (
        <>
          <TextField
            label="Day"
            type="date"
            value={row.on}
            onChange={({ target }) => set({ on: target.value })}
          />
          <TextField
            label="Hours"
            placeholder="off"
            value={row.hours}
            onChange={({ target }) => set({ hours: target.value })}
          />
          <TextField label="Note" value={row.note} onChange={({ target }) => set({ note: target.value })} />
        </>
      )}
    </RowsFields>
  );
}
