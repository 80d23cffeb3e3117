import { DepotsService } from '../../../src/modules/depots/depots.service';
import { FleetsService } from '../../../src/modules/fleets/fleets.service';
import { CodedError } from '../../../src/platform/errors/coded-error';
import type { TestApp } from '../test-app';
import type { World } from '../world';

export interface PlantedFault {
  what: string;
  /** how the fuzz tells of it */
  told: RegExp;
  /** Makes an application faulty, until the mocks of the test are restored. */
  plant(test: TestApp, theirs: World): void;
}

const isBeyondLatin1 = (text: string | undefined): boolean =>
  [...(text ?? '')].some((character) => (character.codePointAt(0) ?? 0) > 0xff);

/** Faults of different kinds, each in the handling of fleets or depots, which the fuzz has to find. */
export const PLANTED_FAULTS: readonly PlantedFault[] = [
  {
    what: 'a member of another type in one record of a list',
    told: /Fleets_list: GET \/v1\/fleets 200: \/items\/\* must be|Fleets_list: .*\/revision must be integer/,
    plant(test) {
      const fleets = test.app.get(FleetsService);
      const list = fleets.list.bind(fleets);
      jest.spyOn(fleets, 'list').mockImplementation(async (...asked) => {
        const page = await list(...asked);
        const items = page.items.map((fleet, at) =>
          at === 1 ? { ...fleet, revision: String(fleet.revision) as unknown as number } : fleet,
        );
        return { ...page, items };
      });
    },
  },
  {
    what: 'an exception that nobody handles, at one odd value',
    told: /Depots_(create|update): failed with 500/,
    plant(test) {
      const depots = test.app.get(DepotsService);
      for (const operation of ['create', 'update'] as const) {
        const work = depots[operation].bind(depots) as (...asked: unknown[]) => Promise<never>;
        jest.spyOn(depots, operation).mockImplementation((...asked: unknown[]) => {
          const { name } = asked.at(-1) as { name?: string };
          if (isBeyondLatin1(name)) throw new RangeError('the name does not fit');
          return work(...asked);
        });
      }
    },
  },
  {
    what: 'a status that the contract does not list',
    told: /Fleets_get: .* 410: the status is not in the contract/,
    plant(test) {
      jest
        .spyOn(test.app.get(FleetsService), 'get')
        .mockRejectedValue(new CodedError('no-longer-kept', 'The fleet is not kept any more.'));
    },
  },
  {
    what: 'a record of another organisation in a list',
    told: /Depots_list: tells [0-9a-f-]{36} of another organisation/,
    plant(test, theirs) {
      const depots = test.app.get(DepotsService);
      const list = depots.list.bind(depots);
      jest.spyOn(depots, 'list').mockImplementation(async (...asked) => {
        const page = await list(...asked);
        const [first] = page.items;
        const items = first === undefined ? [] : [{ ...first, id: theirs.ids.depotId! }, ...page.items];
        return { ...page, items };
      });
    },
  },
  {
    what: 'a refusal that does not say what is wrong',
    told: /Fleets_update: 422 for input names no field/,
    plant(test) {
      jest
        .spyOn(test.app.get(FleetsService), 'update')
        .mockRejectedValue(new CodedError('validation-failed', 'Something is not acceptable.'));
    },
  },
  {
    what: 'a request that is never answered',
    told: /Depots_get: there was no answer/,
    plant(test) {
      jest.spyOn(test.app.get(DepotsService), 'get').mockReturnValue(new Promise(() => undefined));
    },
  },
];
