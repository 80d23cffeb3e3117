import { useLocation, useParams } from 'wouter';
import { Page, Waiting } from '../../design/page';
import { Notice, ProblemNotice } from '../../design/notice';
import { Diary } from './diary';
import { useWorkshops } from './diary-data';

// where somebody looked last is where they look next
const KEPT = 'precharge-diary-workshop';

export default function DiaryPage() {
  const { workshopId } = useParams<{ workshopId?: string }>();
  const [, navigate] = useLocation();
  const { data: workshops, error } = useWorkshops();
  if (workshops === undefined)
    return (
      <Page title="Diary">
        {error === null ? <Waiting what="the workshops" /> : <ProblemNotice error={error} />}
      </Page>
    );
  const wantedId = workshopId ?? localStorage.getItem(KEPT);
  const workshop =
    workshops.find(({ id }) => id === wantedId) ?? (workshopId === undefined ? workshops[0] : undefined);
  if (workshop === undefined)
    return (
      <Page title="Diary">
        {workshopId === undefined ? (
          <Notice tone="info" title="There is no workshop yet.">
            <p>Whoever administers the desk sets one up.</p>
          </Notice>
        ) : (
          <Notice tone="warn" title="There is no such workshop, or it is not for you to see.">
            <p>Choose Diary above for the workshops that you see.</p>
          </Notice>
        )}
      </Page>
    );
  return (
    <Diary
      key={workshop.id}
      workshop={workshop}
      workshops={workshops}
      onWorkshop={(chosenId) => {
        localStorage.setItem(KEPT, chosenId);
        navigate(`/diary/${chosenId}${location.search}`);
      }}
    />
  );
}
