import { queryOptions, skipToken, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api, type Schemas } from '../../api/client';
import { useReader } from '../../session/session';
import type { CallDraft } from './call-draft';
import {
  reachQuery,
  vehicleQuery,
  workshopsQuery,
  type FreeTimes,
  type Workshop,
} from './front-desk-queries';
import { ASKED, homeWorkshop, otherWorkshops, startOfDay } from './offers';

type Question = Schemas['FindFreeTimesDto'];

/** A question and what is known of its answer. */
export interface Asked {
  data: FreeTimes | undefined;
  error: unknown;
  /** the answer is to an earlier question */
  isOld: boolean;
}

export interface Offers {
  workshops: readonly Workshop[];
  home: Workshop | undefined;
  chooseHome: (workshopId: string) => void;
  atHome: Asked;
  elsewhere: Asked;
  /** there is another workshop that the vehicle can go to */
  hasElsewhere: boolean;
  /** minutes of driving for a visit, there and back */
  transferMinutes: ReadonlyMap<string, number>;
  error: unknown;
}

const KEPT = 'precharge-front-desk-workshop';

/** Free times for the work of a visit at this workshop, and at the others that the vehicle can go to. */
export function useOffers(
  vehicleId: string,
  { extraWork, notBefore }: Pick<CallDraft, 'extraWork' | 'notBefore'>,
  /** null while it is not known what is due */
  ticks: readonly string[] | null,
): Offers {
  const { workshopIds: ofPerson } = useReader().session.person;
  const [chosen, setChosen] = useState(() => localStorage.getItem(KEPT));
  const { data: vehicle } = useQuery(vehicleQuery(vehicleId));
  const { data: reach, isError: isReachUnknown } = useQuery(reachQuery(vehicle?.depotId));
  const { data: workshops = [], error } = useQuery(workshopsQuery);
  const ids = workshops.map(({ id }) => id);
  const isReady = ticks !== null && (reach !== undefined || isReachUnknown) && ids.length > 0;
  const homeId = isReady ? homeWorkshop(ids, chosen, ofPerson, reach) : undefined;
  const home = workshops.find(({ id }) => id === homeId);
  const otherIds = isReady ? otherWorkshops(ids, homeId, reach) : [];

  const question = (workshopIds: string[]): Question | null => {
    if (!isReady || workshopIds.length === 0 || ticks.length + extraWork.length === 0) return null;
    const fromAt = home && startOfDay(notBefore, home.zone);
    return {
      vehicleId,
      workshopIds,
      count: ASKED,
      dueItemKeys: [...ticks],
      extraWork,
      ...(fromAt && { fromAt }),
    };
  };
  return {
    workshops,
    home,
    chooseHome: (id) => {
      localStorage.setItem(KEPT, id);
      setChosen(id);
    },
    atHome: useAsked(question(homeId === undefined ? [] : [homeId])),
    elsewhere: useAsked(question(otherIds)),
    hasElsewhere: otherIds.length > 0,
    transferMinutes: new Map(
      reach?.workshops.map(({ workshopId, transferMinutes }) => [workshopId, transferMinutes]),
    ),
    error,
  };
}

const freeTimesQuery = (question: Question | null) =>
  queryOptions({
    queryKey: ['free-times', question],
    // a question that stores nothing
    queryFn:
      question === null
        ? skipToken
        : ({ signal }) => answered(api.POST('/v1/free-times', { body: question, signal })),
  });

function useAsked(question: Question | null): Asked {
  const { data, error, isPlaceholderData } = useQuery({
    ...freeTimesQuery(question),
    // the times for the work before the last tick stay until the new ones are there, but cannot be chosen
    placeholderData: (before) => (before?.vehicleId === question?.vehicleId ? before : undefined),
  });
  return question === null
    ? { data: undefined, error: null, isOld: false }
    : { data, error, isOld: isPlaceholderData };
}
