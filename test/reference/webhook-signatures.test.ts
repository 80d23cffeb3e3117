import { Webhook } from 'standardwebhooks';
import {
  newWebhookSecret,
  openWebhookSecret,
  sealWebhookSecret,
  signedHeaders,
} from '../../src/modules/webhook-endpoints/webhook-secret';

// Standard Webhooks (repository standard-webhooks/standard-webhooks, commit
// b2fa7b8719fb75d326b591077f5d1b385cfcdfae, specification under Apache-2.0, libraries under MIT).

const SECRET = 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw';

interface Vector {
  id: string;
  timestamp: number;
  body: string;
  signature: string;
}

/** Published with the reference libraries. */
const PUBLISHED: Vector = {
  id: 'msg_p5jXN8AQM9LWM0D4loKWxJek',
  timestamp: 1_614_265_330,
  body: '{"test": 2432232314}',
  signature: 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
};

/** Message and moment of an example of the specification, whose secret is not told; and one of ours. The signatures were
 * computed with node:crypto and with the library. */
const COMPUTED: Vector[] = [
  {
    id: 'msg_2KWPBgLlAfxdpx2AI54pPJ85f4W',
    timestamp: 1_674_087_231,
    body: '{"type":"contact.created","timestamp":"2022-11-03T20:26:10.344522Z","data":{"id":"1f81eb52-5198-4599-803e-771906343485"}}',
    signature: 'v1,ARw42xaAApl/nxRo+iPGYwSaMQaOwMo2eyH5JBRA+bQ=',
  },
  {
    id: 'evt_0001',
    timestamp: 1_735_689_600,
    body: '{"type":"visit.due","timestamp":"2025-01-01T00:00:00Z","data":{"unit":"front-left","p20_bar":48.5}}',
    signature: 'v1,xdB0eaCht/nKGH8i5Oy2zH11024ZmgzyFlQHCWXvmO8=',
  },
];

const WRONG = 'v1,Ceo5qEr07ixe2NLpvHk3FH9bwy/WavXrAFQ/9tdO6mc=';

describe('signatures', () => {
  it.each([PUBLISHED, ...COMPUTED])('of $id at $timestamp', ({ id, timestamp, body, signature }) => {
    // whatever part of the second it is
    for (const at of [timestamp * 1_000, timestamp * 1_000 + 999])
      expect(signedHeaders([SECRET], id, at, body)).toEqual({
        'webhook-id': id,
        'webhook-timestamp': String(timestamp),
        'webhook-signature': signature,
      });
  });

  it('of text beyond ASCII are those of its UTF-8', () => {
    const body = '{"note":"Kühlmittel — 48,5 bar, ✓"}';
    const headers = signedHeaders([SECRET], 'evt_1', Date.now(), body);
    expect(new Webhook(SECRET).verify(Buffer.from(body), headers)).toEqual(JSON.parse(body));
  });

  it('stand beside each other while secrets change, and each is enough', () => {
    const [older, newer] = [newWebhookSecret(), newWebhookSecret()];
    const headers = signedHeaders([newer, older], 'evt_1', Date.now(), '{}');
    expect(headers['webhook-signature']?.split(' ')).toHaveLength(2);
    for (const secret of [older, newer]) expect(new Webhook(secret).verify('{}', headers)).toEqual({});
    expect(() => new Webhook(newWebhookSecret()).verify('{}', headers)).toThrow('No matching signature');
  });
});

describe('what a receiver that uses the library accepts and refuses', () => {
  beforeEach(() => {
    jest.spyOn(Date, 'now').mockReturnValue(PUBLISHED.timestamp * 1_000);
  });
  afterEach(() => {
    jest.restoreAllMocks();
  });

  const ours = (): Record<string, string> =>
    signedHeaders([SECRET], PUBLISHED.id, PUBLISHED.timestamp * 1_000, PUBLISHED.body);
  const verify = (changes: Record<string, string>, body = PUBLISHED.body): unknown =>
    new Webhook(SECRET).verify(body, { ...ours(), ...changes });

  it('takes what we send', () => {
    expect(verify({})).toEqual({ test: 2_432_232_314 });
  });

  it('takes a list with a wrong signature before or after', () => {
    for (const list of [`${WRONG} ${PUBLISHED.signature}`, `${PUBLISHED.signature} ${WRONG}`])
      expect(verify({ 'webhook-signature': list })).toEqual({ test: 2_432_232_314 });
  });

  it.each([
    ['an empty signature', { 'webhook-signature': 'v1,' }],
    ['a changed character', { 'webhook-signature': PUBLISHED.signature.replace(/E=$/, 'A=') }],
    ['another version', { 'webhook-signature': PUBLISHED.signature.replace('v1', 'v2') }],
    ['a wrong one', { 'webhook-signature': WRONG }],
    ['no signature', { 'webhook-signature': '' }],
    ['no id', { 'webhook-id': '' }],
    ['another id', { 'webhook-id': 'msg_other' }],
    ['no timestamp', { 'webhook-timestamp': '' }],
    ['a timestamp that is none', { 'webhook-timestamp': 'hello' }],
    ['one that is not that of the signature', { 'webhook-timestamp': String(PUBLISHED.timestamp + 1) }],
  ])('refuses %s', (_, changes) => {
    expect(() => verify(changes)).toThrow();
  });

  it('refuses another body, a space less included', () => {
    expect(() => verify({}, PUBLISHED.body.replace(' ', ''))).toThrow('No matching signature');
  });

  it.each([
    [301, 'Message timestamp too old'],
    [-301, 'Message timestamp too new'],
  ])('refuses a message %i seconds after its time', (seconds, reason) => {
    jest.spyOn(Date, 'now').mockReturnValue((PUBLISHED.timestamp + seconds) * 1_000);
    expect(() => verify({})).toThrow(reason);
    jest.spyOn(Date, 'now').mockReturnValue((PUBLISHED.timestamp + seconds - Math.sign(seconds)) * 1_000);
    expect(verify({})).toEqual({ test: 2_432_232_314 });
  });
});

describe('secrets', () => {
  it('have 24 to 64 random bytes in base64 behind their prefix, each its own', () => {
    const secrets = Array.from({ length: 50 }, newWebhookSecret);
    expect(new Set(secrets).size).toBe(50);
    for (const secret of secrets) {
      const [, text = ''] = /^whsec_([A-Za-z0-9+/]+=*)$/.exec(secret) ?? [];
      const bytes = Buffer.from(text, 'base64');
      expect(bytes.toString('base64')).toBe(text);
      expect([bytes.length >= 24, bytes.length <= 64]).toEqual([true, true]);
    }
  });

  it('of no bytes are refused', () => {
    expect(() => signedHeaders(['whsec_'], 'evt_1', 0, '{}')).toThrow();
  });

  it('open for the endpoint that they were sealed for alone', () => {
    const installation = 'a secret for tests only, thirty-two characters and more';
    const sealed = sealWebhookSecret(installation, 'endpoint 1', SECRET);
    expect(openWebhookSecret(installation, 'endpoint 1', sealed)).toBe(SECRET);
    expect(() => openWebhookSecret(installation, 'endpoint 2', sealed)).toThrow(/does not open/);
    expect(sealed.includes(Buffer.from(SECRET.slice(6, 18)))).toBe(false);
  });
});
