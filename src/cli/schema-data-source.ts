import { join } from 'node:path';
import { ownerDataSource } from '../platform/database/migrate';

// For TypeORM's command line: `typeorm migration:generate --check` compares the entities with the database.
export default ownerDataSource(process.env.DATABASE_URL ?? '', [join(__dirname, '../**/*.entity.js')]);
