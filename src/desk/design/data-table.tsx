import {
  createSortedRowModel,
  rowSortingFeature,
  sortFn_alphanumeric,
  sortFn_basic,
  sortFn_text,
  tableFeatures,
  useTable,
  type ColumnDef,
} from '@tanstack/react-table';
import styles from './data-table.module.css';

const features = tableFeatures({
  rowSortingFeature,
  sortedRowModel: createSortedRowModel(),
  sortFns: { alphanumeric: sortFn_alphanumeric, basic: sortFn_basic, text: sortFn_text },
});

/** A column of a table of these records; `enableSorting: false` where an order means nothing. */
export type Column<Row extends object> = ColumnDef<typeof features, Row>;

interface DataTableProps<Row extends object> {
  /** read out before the table */
  caption: string;
  /** stable between drawings, like `rows` */
  columns: Column<Row>[];
  rows: Row[];
  rowId: (row: Row) => string;
  /** shown instead of a table without rows */
  empty: React.ReactNode;
}

/**
 * Records as rows; a press on the head of a column sorts by it. Wide tables scroll sideways by themselves. On a narrow
 * screen each record stands as a list of its fields, which takes the table apart for the eye; the roles keep it together
 * for who listens.
 */
export function DataTable<Row extends object>({ caption, columns, rows, rowId, empty }: DataTableProps<Row>) {
  const table = useTable({
    features,
    columns,
    data: rows,
    getRowId: rowId,
  });
  if (rows.length === 0) return <p className="soft">{empty}</p>;
  return (
    <div className="scroll" tabIndex={0} role="region" aria-label={caption}>
      <table className={styles.table} role="table">
        <caption className="unseen">{caption}</caption>
        <thead role="rowgroup">
          {table.getHeaderGroups().map((group) => (
            <tr key={group.id} role="row">
              {group.headers.map((header) => {
                const sorted = header.column.getIsSorted();
                return (
                  <th
                    key={header.id}
                    scope="col"
                    role="columnheader"
                    aria-sort={sorted === false ? undefined : sorted === 'asc' ? 'ascending' : 'descending'}
                  >
                    {header.column.getCanSort() ? (
                      <button
                        type="button"
                        className={styles.sort}
                        onClick={header.column.getToggleSortingHandler()}
                      >
                        <table.FlexRender header={header} />
                        <span aria-hidden="true">{sorted === false ? '' : sorted === 'asc' ? '▴' : '▾'}</span>
                      </button>
                    ) : (
                      <table.FlexRender header={header} />
                    )}
                  </th>
                );
              })}
            </tr>
          ))}
        </thead>
        <tbody role="rowgroup">
          {table.getRowModel().rows.map((row) => (
            <tr key={row.id} role="row">
              {row.getAllCells().map((cell) => (
                <td key={cell.id} role="cell" data-label={labelOf(cell.column.columnDef.header)}>
                  <table.FlexRender cell={cell} />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** What stands before a field of a record on a narrow screen; nothing where the head is no text. */
const labelOf = (header: unknown): string | undefined => (typeof header === 'string' ? header : undefined);
