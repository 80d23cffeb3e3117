import { answered } from './client';

const PAGE = 25;

interface PageQuery {
  limit: number;
  cursor?: string;
}

interface InPages<Page> {
  queryFn: (context: { pageParam: string | null }) => Promise<Page>;
  initialPageParam: string | null;
  getNextPageParam: (page: Page) => string | null;
}

/** What an infinite query needs to read a list of the API page by page. */
export function inPages<Page extends { next: string | null }>(
  read: (query: PageQuery) => Promise<{ data?: Page }>,
): InPages<Page> {
  return {
    queryFn: ({ pageParam: cursor }) =>
      answered(read({ limit: PAGE, ...(cursor === null ? {} : { cursor }) })),
    initialPageParam: null,
    getNextPageParam: ({ next }) => next,
  };
}
