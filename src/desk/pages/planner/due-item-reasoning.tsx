import { useQuery } from '@tanstack/react-query';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { useTold } from '../../session/use-told';
import { explainedDueItem } from './planner-data';

/** How the date was worked out, line by line. */
export function DueItemReasoning({ dueItemId }: { dueItemId: string }) {
  const told = useTold();
  const item = useQuery(explainedDueItem(dueItemId));
  if (item.isPending) return <Waiting what="the working" />;
  if (item.isError) return <ProblemNotice error={item.error} />;
  return (
    <ol>
      {item.data.explanation.map((line, at) => (
        <li key={at}>{told(line)}</li>
      ))}
    </ol>
  );
}
