/** What a programme tells of one of its versions. */
export interface VersionHead {
  id: string;
  versionNumber: number;
  state: 'draft' | 'published';
  effectiveOn: string | null;
}
