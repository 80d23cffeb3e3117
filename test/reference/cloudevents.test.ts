import { randomUUID } from 'node:crypto';
import { toChangeDto, type ChangeRow } from '../../src/modules/changes/dto/change.dto';
import { EVENT_TYPES } from '../../src/platform/audit/recorded-changes';
import { cloudEventFaults } from '../support/cloud-event-check';

// The example of the specification's JSON event format, as collected in its repository (see cloud-event-check.ts).
const EXAMPLE = {
  specversion: '1.0',
  type: 'com.example.someevent',
  source: '/mycontext',
  id: 'C234-1234-1234',
  time: '2018-04-05T17:31:00Z',
  comexampleextension1: 'value',
  comexampleothervalue: 5,
  datacontenttype: 'application/json',
  data: { appinfoA: 'abc', appinfoB: 123, appinfoC: true },
};

const without = (name: keyof typeof EXAMPLE): object =>
  Object.fromEntries(Object.entries(EXAMPLE).filter(([each]) => each !== name));

describe('the check', () => {
  it('accepts the example of the specification', () => {
    expect(cloudEventFaults(EXAMPLE)).toEqual([]);
  });

  it.each<[string, object]>([
    ['no id', without('id')],
    ['an empty id', { ...EXAMPLE, id: '' }],
    ['no source', without('source')],
    ['an empty source', { ...EXAMPLE, source: '' }],
    ['no type', without('type')],
    ['an empty type', { ...EXAMPLE, type: '' }],
    ['no version', without('specversion')],
    ['a time that is none', { ...EXAMPLE, time: 'yesterday' }],
    ['an empty subject', { ...EXAMPLE, subject: '' }],
    ['an extension in capitals', { ...EXAMPLE, fooBar: 'x' }],
    ['an extension with an underscore', { ...EXAMPLE, foo_bar: 'x' }],
  ])('refuses %s', (_, event) => {
    expect(cloudEventFaults(event)).not.toEqual([]);
  });
});

describe('every type of event', () => {
  const row = (type: string): ChangeRow => ({
    id: randomUUID(),
    type,
    subjectType: type.split('.')[0] ?? '',
    subjectId: randomUUID(),
    vehicleId: randomUUID(),
    fleetId: randomUUID(),
    workshopId: randomUUID(),
    recordedAt: new Date('2026-11-25T12:00:00Z'),
    data: { registrationMark: 'TVP 101' },
  });

  it.each(EVENT_TYPES)('%s', (type) => {
    const organisationId = randomUUID();
    const full = toChangeDto(organisationId, row(type));
    const bare = toChangeDto(organisationId, {
      ...row(type),
      vehicleId: null,
      fleetId: null,
      workshopId: null,
    });
    expect([full, bare].map(cloudEventFaults)).toEqual([[], []]);
    expect(full).toMatchObject({ specversion: '1.0', type, datacontenttype: 'application/json' });
    expect(type).toMatch(/^[a-z]+(-[a-z]+)*\.[a-z]+(-[a-z]+)*$/);
  });

  it('there are some, each once', () => {
    expect(EVENT_TYPES.length).toBeGreaterThan(90);
    expect(new Set(EVENT_TYPES).size).toBe(EVENT_TYPES.length);
  });
});
