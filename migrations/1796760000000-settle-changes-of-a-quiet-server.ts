import type { MigrationInterface, QueryRunner } from 'typeorm';

// The place of a change was that of the next transaction of the server where its own had waited for another one: with
// nobody writing afterwards it was never settled, and no reader was told of it.
export class SettleChangesOfAQuietServer1796760000000 implements MigrationInterface {
  name = 'SettleChangesOfAQuietServer1796760000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(transactionId('pg_snapshot_xmax(pg_current_snapshot())::text::bigint - 1'));
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(transactionId('pg_snapshot_xmax(pg_current_snapshot())::text::bigint'));
  }
}

// Orders changes. Not below the transaction's own number, so that it is not settled before the transaction has ended;
// and not below those that had ended by now, so that of two changes to what a lock guards the later one comes later
// (by its sequence, where the places are the same), though its transaction may have begun earlier.
function transactionId(lastEnded: string): string {
  return `
    CREATE OR REPLACE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE plpgsql VOLATILE AS $$
    DECLARE
      clock record;
    BEGIN
      clock := app.change_clock();
      IF COALESCE(current_setting('app.history', true), '') = '' THEN
        INSERT INTO app.histories (number, history) VALUES (clock.number, clock.history) ON CONFLICT DO NOTHING;
        PERFORM set_config('app.history', clock.number || ' ' || clock.history, false);
      END IF;
      RETURN (clock.number << 48) + GREATEST(pg_current_xact_id()::text::bigint, ${lastEnded});
    END $$;
  `;
}
