import { Button } from './button';

interface MoreButtonProps {
  /** as a list in pages of TanStack Query tells it */
  list: { hasNextPage: boolean; isFetchingNextPage: boolean; fetchNextPage: () => Promise<unknown> };
  /** what there are more of */
  of: string;
}

/** Goes on with a list that has not been read to its end; nothing where it has. */
export function MoreButton({ list, of }: MoreButtonProps) {
  if (!list.hasNextPage) return null;
  return (
    <div className="row screen-only">
      <Button busy={list.isFetchingNextPage} onClick={() => void list.fetchNextPage()}>
        More {of}
      </Button>
    </div>
  );
}
