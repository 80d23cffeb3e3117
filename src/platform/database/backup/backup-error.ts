/** A backup that cannot be made or used as things are, in words that say what to do. */
export class BackupError extends Error {}
