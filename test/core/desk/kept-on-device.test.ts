import { KeptOnDevice, type DeviceStorage } from '../../../src/desk/session/kept-on-device';
import { forgetSession, rememberSession, rememberedSession } from '../../../src/desk/session/kept-session';
import type { Session } from '../../../src/desk/session/session';

function storage(): DeviceStorage {
  const items = new Map<string, string>();
  return {
    get length() {
      return items.size;
    },
    key: (index) => [...items.keys()][index] ?? null,
    getItem: (key) => items.get(key) ?? null,
    setItem: (key, value) => void items.set(key, value),
    removeItem: (key) => void items.delete(key),
  };
}

it("keeps each person's entries apart, and knows what is not sent", () => {
  const device = storage();
  const [ash, birch] = [new KeptOnDevice(device, 'ash'), new KeptOnDevice(device, 'birch')];
  ash.keep('job-sheet:1', { odometer: 1 }, true);
  ash.keep('job-sheet:2', { odometer: 2 }, false);
  expect(ash.read('job-sheet:1')).toEqual({ odometer: 1 });
  expect(birch.read('job-sheet:1')).toBeNull();
  expect(ash.unsent()).toEqual(['job-sheet:1']);
  expect(birch.unsent()).toEqual([]);
  birch.keep('job-sheet:1', {}, true);
  ash.forgetEverything();
  expect(ash.unsent()).toEqual([]);
  expect(birch.unsent()).toEqual(['job-sheet:1']);
  birch.forget('job-sheet:1');
  expect(device.length).toBe(0);
});

it('knows who was signed in until that session is over', () => {
  const device = storage();
  const session = { latestExpiresAt: '2026-11-25T20:00:00Z' } as Session;
  expect(rememberedSession(device, 0)).toBeNull();
  rememberSession(device, session);
  expect(rememberedSession(device, Date.parse('2026-11-25T19:59:59Z'))).toEqual(session);
  expect(rememberedSession(device, Date.parse('2026-11-25T20:00:00Z'))).toBeNull();
  forgetSession(device);
  expect(rememberedSession(device, 0)).toBeNull();
});
