import { DefaultNamingStrategy, type NamingStrategyInterface, type Table } from 'typeorm';

/** `dueOn` in code is `due_on` in the database. Table names are always given by the entity. */
export class SnakeCaseNaming extends DefaultNamingStrategy implements NamingStrategyInterface {
  override columnName(propertyName: string, customName: string | undefined): string {
    return customName ?? propertyName.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
  }

  override primaryKeyName(tableOrName: Table | string): string {
    return `${this.getTableName(tableOrName)}_pkey`;
  }
}
