import type { ReactNode } from 'react';
import type { Column } from '../../../design/data-table';
import styles from './form-fields.module.css';

/** A column that sorts by a value and shows it, or something made of the record. */
export function column<Row extends object>(
  header: string,
  value: (row: Row) => string | number,
  show?: (row: Row) => ReactNode,
): Column<Row> {
  return {
    id: header,
    header,
    accessorFn: value,
    cell: ({ row }) => (show === undefined ? value(row.original) : show(row.original)),
  };
}

/** The column of what can be done with a record. */
export function actions<Row extends object>(show: (row: Row) => ReactNode): Column<Row> {
  return {
    id: 'actions',
    header: () => <span className="unseen">What can be done</span>,
    enableSorting: false,
    cell: ({ row }) => <div className={styles.actions}>{show(row.original)}</div>,
  };
}
