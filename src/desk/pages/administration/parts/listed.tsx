import type { UseQueryResult } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';

interface ListedProps<Data> {
  /** what is being read, for whoever waits */
  what: string;
  query: UseQueryResult<Data>;
  children: (data: Data) => ReactNode;
}

/** What was read; that it is on its way, or why it cannot be had. */
export function Listed<Data>({ what, query, children }: ListedProps<Data>) {
  return (
    <>
      <ProblemNotice error={query.error} />
      {query.data !== undefined ? (
        children(query.data)
      ) : query.error === null ? (
        <Waiting what={what} />
      ) : null}
    </>
  );
}
