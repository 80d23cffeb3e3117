import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Notice } from '../../../design/notice';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { DepotsPart } from './depots-part';
import { FleetsPart } from './fleets-part';

type Organisation = Schemas['OrganisationDto'];

const ADDRESS = ['administration', 'organisation'];
const readOrganisation = () => answered(api.GET('/v1/organisation'));

export default function OperatorSection() {
  const organisation = useQuery({ queryKey: ADDRESS, queryFn: readOrganisation });
  return (
    <>
      <Part title="The operator">
        <Listed what="the operator" query={organisation}>
          {(record) => <OrganisationForm record={record} />}
        </Listed>
      </Part>
      <FleetsPart />
      <DepotsPart />
    </>
  );
}

function OrganisationForm({ record }: { record: Organisation }) {
  const queries = useQueryClient();
  const [kept, setKept] = useState(false);
  return (
    <div className="sheet">
      <RecordForm
        // what was kept is where the next change starts
        key={record.revision}
        record={record}
        valuesOf={(from: Organisation | null) => ({
          name: from?.name ?? '',
          distanceUnit: from?.distanceUnit ?? 'km',
          pressureUnit: from?.pressureUnit ?? 'bar',
        })}
        bodyOf={(values) => values}
        change={(body, base) =>
          answered(api.PATCH('/v1/organisation', { params: { header: ifMatch(base) }, body }))
        }
        readAgain={readOrganisation}
        onKept={(organisation) => {
          setKept(true);
          queries.setQueryData(ADDRESS, organisation);
          void queries.invalidateQueries({ queryKey: ['session'] });
        }}
      >
        {(fields) => (
          <div className="columns">
            {fields.text('name', 'Name', { required: true })}
            {fields.select('distanceUnit', 'Distances', DISTANCES, {
              hint: 'For whoever has chosen nothing else.',
            })}
            {fields.select('pressureUnit', 'Pressures', PRESSURES, {
              hint: 'For whoever has chosen nothing else.',
            })}
          </div>
        )}
      </RecordForm>
      {kept ? <Notice tone="good" title="Kept." live /> : null}
    </div>
  );
}

const DISTANCES = [
  { value: 'km', name: 'Kilometres' },
  { value: 'mi', name: 'Miles' },
];
const PRESSURES = [
  { value: 'bar', name: 'bar' },
  { value: 'kPa', name: 'kPa' },
  { value: 'psi', name: 'psi' },
];
