import 'reflect-metadata';
import { of, lastValueFrom } from 'rxjs';
import LinkHeader from 'http-link-header';
import type { CallHandler, ExecutionContext } from '@nestjs/common';
import { formatInstant, parseInstant } from '../../src/core/shared/instant';
import { fieldPointer } from '../../src/platform/http/field-pointer';
import { NextBy, NextLinkInterceptor } from '../../src/platform/http/next-link';
import { fieldErrors } from '../../src/platform/http/validation.pipe';

describe('RFC 3339, section 5.8: the examples', () => {
  it.each([
    ['1985-04-12T23:20:50.52Z', 482_196_050_520],
    ['1996-12-19T16:39:57-08:00', Date.UTC(1996, 11, 20, 0, 39, 57)],
    // the leap second counts as the second before it, as POSIX time has no room for it
    ['1990-12-31T23:59:60Z', Date.UTC(1990, 11, 31, 23, 59, 59)],
    ['1990-12-31T15:59:60-08:00', Date.UTC(1990, 11, 31, 23, 59, 59)],
    ['1937-01-01T12:00:27.87+00:20', -1_041_337_172_130],
  ])('%s', (text, instant) => {
    expect(parseInstant(text)).toBe(instant);
    expect(parseInstant(formatInstant(instant))).toBe(instant);
  });
});

describe('RFC 9457, section 3: the field errors of the second example', () => {
  // "age" and "color" within "profile"
  it('are pointed at as there', () => {
    const errors = fieldErrors([
      { property: 'age', constraints: { isPositive: 'must be a positive integer' } },
      {
        property: 'profile',
        children: [{ property: 'color', constraints: { isIn: "must be 'green', 'red' or 'blue'" } }],
      },
    ]);
    expect(errors.map(({ detail, pointer }) => ({ detail, pointer }))).toEqual([
      { detail: 'must be a positive integer', pointer: '#/age' },
      { detail: "must be 'green', 'red' or 'blue'", pointer: '#/profile/color' },
    ]);
  });
});

describe('RFC 6901, section 6: the pointers as URI fragments', () => {
  it.each([
    [[], '#'],
    [['foo'], '#/foo'],
    [['foo', '0'], '#/foo/0'],
    [[''], '#/'],
    [['a/b'], '#/a~1b'],
    [['c%d'], '#/c%25d'],
    [['e^f'], '#/e%5Ef'],
    [['g|h'], '#/g%7Ch'],
    [['i\\j'], '#/i%5Cj'],
    [['k"l'], '#/k%22l'],
    [[' '], '#/%20'],
    [['m~n'], '#/m~0n'],
  ])('%j', (path, pointer) => {
    expect(fieldPointer(path)).toBe(pointer);
  });
});

describe('RFC 8288', () => {
  interface Parsed {
    uri: string;
    rel: string;
  }
  const parsed = (header: string): Parsed[] =>
    LinkHeader.parse(header).refs.map(({ uri, rel }) => ({ uri, rel }));

  it('section 3.5: the reader that checks our headers reads the examples as they are meant', () => {
    expect(parsed('<http://example.com/TheBook/chapter2>; rel="previous"; title="previous chapter"')).toEqual(
      [{ uri: 'http://example.com/TheBook/chapter2', rel: 'previous' }],
    );
    expect(parsed('<http://example.org/>; rel="start http://example.net/relation/other"')).toEqual([
      { uri: 'http://example.org/', rel: 'start' },
      { uri: 'http://example.org/', rel: 'http://example.net/relation/other' },
    ]);
    expect(parsed('<https://example.org/>; rel="start", <https://example.org/index>; rel="index"')).toEqual([
      { uri: 'https://example.org/', rel: 'start' },
      { uri: 'https://example.org/index', rel: 'index' },
    ]);
  });

  /** The Link header of a page that was asked for at an address. */
  async function linkOf(
    url: string,
    body: object,
    handlerMethod = (): void => undefined,
  ): Promise<string | undefined> {
    const headers: Record<string, string> = {};
    const execution = {
      getHandler: () => handlerMethod,
      switchToHttp: () => ({
        getRequest: () => ({ url }),
        getResponse: () => ({ header: (name: string, value: string) => (headers[name] = value) }),
      }),
    } as unknown as ExecutionContext;
    const handler: CallHandler = { handle: () => of(body) };
    expect(await lastValueFrom(new NextLinkInterceptor().intercept(execution, handler))).toBe(body);
    return headers.Link;
  }

  it.each([
    ['/v1/vehicles', 'abc.def', '/v1/vehicles?cursor=abc.def'],
    ['/v1/vehicles?limit=2&cursor=old', 'abc.def', '/v1/vehicles?limit=2&cursor=abc.def'],
    ['/v1/vehicles?search=a%3Eb%2C%22c', 'x', '/v1/vehicles?search=a%3Eb%2C%22c&cursor=x'],
  ])('the page after %s', async (url, next, expected) => {
    const link = await linkOf(url, { items: [], next });
    expect(parsed(link ?? '')).toEqual([{ uri: expected, rel: 'next' }]);
  });

  it('names the parameter that the list takes it by', async () => {
    const handler = (): void => undefined;
    NextBy('after')({}, 'read', { value: handler });
    const link = await linkOf('/v1/changes?after=old&wait=9', { items: [], next: 'abc.def' }, handler);
    expect(parsed(link ?? '')).toEqual([{ uri: '/v1/changes?after=abc.def&wait=9', rel: 'next' }]);
  });

  it('the last page has none', async () => {
    expect(await linkOf('/v1/vehicles', { items: [], next: null })).toBeUndefined();
  });
});
