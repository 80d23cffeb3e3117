import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { useParams } from 'wouter';
import { NotReached } from '../../api/problem';
import { ProblemNotice } from '../../design/notice';
import { Page, Waiting } from '../../design/page';
import { KeptOnDevice } from '../../session/kept-on-device';
import { useReader } from '../../session/session';
import { JobPage } from './job-page';
import { readSheet } from './job/read-job';

/** The sheet of one job: from the service, or from this device where there is no connection. */
export default function JobSheetPage() {
  const { jobSheetId = '' } = useParams();
  const { id: personId } = useReader().session.person;
  const device = useMemo(() => new KeptOnDevice(localStorage, personId), [personId]);
  const what = `job-sheet:${jobSheetId}`;
  const isHere = useMemo(() => device.read(what) !== null, [device, what]);
  const { data: fresh, error } = useQuery({
    queryKey: ['job-sheet', jobSheetId],
    queryFn: () => readSheet(jobSheetId),
    // the page merges later states itself
    staleTime: Infinity,
    gcTime: 0,
    networkMode: 'always',
    ...(isHere ? { retry: false } : {}),
  });
  if (fresh !== undefined || (isHere && error instanceof NotReached))
    return <JobPage key={jobSheetId} {...{ jobSheetId, device, what }} fresh={fresh ?? null} />;
  return (
    <Page title="Job sheet">
      {error === null ? <Waiting what="the job sheet" /> : <ProblemNotice error={error} />}
    </Page>
  );
}
