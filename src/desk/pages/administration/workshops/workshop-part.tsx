import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'wouter';
import { answered, api } from '../../../api/client';
import { Notice } from '../../../design/notice';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { BaysPart } from './bays-part';
import { ConflictsPart } from './conflicts-part';
import { TechniciansPart } from './technicians-part';
import { WorkshopForm } from './workshop-form';

/** One workshop: its hours, bays and people, and the bookings that no longer fit them. */
export function WorkshopPart({ workshopId }: { workshopId: string }) {
  const queries = useQueryClient();
  const address = ['administration', 'workshops', workshopId];
  const [kept, setKept] = useState(false);
  const workshop = useQuery({
    queryKey: address,
    queryFn: () => answered(api.GET('/v1/workshops/{workshopId}', { params: { path: { workshopId } } })),
  });
  return (
    <>
      <p>
        <Link href="/administration/workshops">All workshops</Link>
      </p>
      <Listed what="the workshop" query={workshop}>
        {(record) => (
          <>
            <ConflictsPart workshop={record} />
            <Part title={record.name}>
              <div className="sheet stack">
                {kept ? <Notice tone="good" title="Kept." live /> : null}
                <WorkshopForm
                  key={record.revision}
                  workshop={record}
                  onKept={(changed) => {
                    setKept(true);
                    queries.setQueryData(address, changed);
                    void queries.invalidateQueries({ queryKey: ['administration', 'workshops'] });
                  }}
                />
              </div>
            </Part>
            <BaysPart workshop={record} />
            <TechniciansPart workshop={record} />
          </>
        )}
      </Listed>
    </>
  );
}
