import { useQuery } from '@tanstack/react-query';
import { answered, api, type Schemas } from '../../../api/client';
import { useWholeList } from '../parts/lists';

export type Programme = Schemas['ServiceProgrammeDto'];
export type Version = Schemas['ProgrammeVersionDto'];
export type VersionHead = Schemas['ProgrammeVersionHeadDto'];

export const programmeAddress = (programmeId: string) => ['administration', 'programmes', programmeId];

export const readProgramme = (programmeId: string): Promise<Programme> =>
  answered(api.GET('/v1/service-programmes/{programmeId}', { params: { path: { programmeId } } }));

export const readVersion = (programmeId: string, versionId: string): Promise<Version> =>
  answered(
    api.GET('/v1/service-programmes/{programmeId}/versions/{versionId}', {
      params: { path: { programmeId, versionId } },
    }),
  );

export const useProgramme = (programmeId: string) =>
  useQuery({ queryKey: programmeAddress(programmeId), queryFn: () => readProgramme(programmeId) });

export const useVersions = (programmeId: string) =>
  useWholeList(['programmes', programmeId, 'versions'], (query) =>
    answered(
      api.GET('/v1/service-programmes/{programmeId}/versions', { params: { path: { programmeId }, query } }),
    ),
  );

export const useVersion = (programmeId: string, versionId: string) =>
  useQuery({
    queryKey: [...programmeAddress(programmeId), 'versions', versionId],
    queryFn: () => readVersion(programmeId, versionId),
  });
