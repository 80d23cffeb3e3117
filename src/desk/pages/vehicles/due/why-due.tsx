import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Button } from '../../../design/button';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { dueItemQuery, type DueItem } from '../vehicle-queries';
import { positionWords } from '../../../format/words';
import { useTold } from '../../../session/use-told';

/** The working behind a due date, read when somebody asks for it. */
export function WhyDue({ item }: { item: DueItem }) {
  const told = useTold();
  const [open, setOpen] = useState(false);
  const id = useId();
  const { data, error } = useQuery({ ...dueItemQuery(item.id), enabled: open });
  return (
    <>
      <Button kind="quiet" aria-expanded={open} aria-controls={id} onClick={() => setOpen(!open)}>
        {open ? 'Close' : 'Why?'}
        <span className="unseen">
          {item.title}
          {item.position === null ? '' : `, ${positionWords(item.position)}`}
        </span>
      </Button>
      <div id={id}>
        {!open ? null : data === undefined ? (
          error === null ? (
            <Waiting what="the working" />
          ) : (
            <ProblemNotice error={error} />
          )
        ) : (
          <ol className="small">
            {data.explanation.map((line) => (
              <li key={line}>{told(line)}</li>
            ))}
          </ol>
        )}
      </div>
    </>
  );
}
