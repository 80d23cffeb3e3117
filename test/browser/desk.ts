import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { run } from 'axe-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { ApiClient } from '../../src/cli/api-client';
import type { FilledWorkshop } from '../../src/cli/demo/fill-diary';
import { tarnValleyFleet, type TarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import type { PersonWithInvitationDto } from '../../src/modules/people/dto/person.dto';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { startWork } from '../../src/work';
import type { Role } from '../../src/platform/security/role';
import { startBrowser } from '../support/start-browser';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';
import { DEMO_FLEET, filledTemplate } from './filled-template';

// what WCAG 2.2 AA asks for, and what the makers of axe advise beside it
const AXE_RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
/** what everybody signs in with */
export const PASSWORD = 'a kettle by the tarn';
const NAMES: Record<Role, string> = {
  'fleet-planner': 'Wren',
  'front-desk': 'Robin',
  technician: 'Martin',
  'dealer-system': 'Heron',
  administrator: 'Merle',
};
const WIDE = { width: 1_440, height: 900 };

export interface Visitor {
  width: number;
  height: number;
  colorScheme: 'light' | 'dark';
  locale: string;
  /** without one, what is asked for is asked by the page itself */
  serviceWorkers: 'allow' | 'block';
}

/** The desk as people have it: a browser, the API that gives the pages out, and the invented operator's records. */
export class Desk {
  private readonly contexts: BrowserContext[] = [];

  private constructor(
    readonly test: TestApp,
    readonly address: string,
    readonly organisation: NewOrganisation,
    /** as an administrator */
    readonly api: ApiClient,
    readonly fleet: TarnValleyFleet,
    readonly workshops: readonly FilledWorkshop[],
    private readonly browser: Browser,
  ) {}

  /** Starts everything, with the fleet and the half full diary of the demo. */
  static async open(): Promise<Desk> {
    const { template, organisation, workshops } = await filledTemplate();
    const test = await startTestApp({ requestsPerMinute: 10_000_000 }, { template });
    await test.app.listen(0, '127.0.0.1');
    await startWork(test.app);
    const address = await test.app.getUrl();
    const fleet = tarnValleyFleet(DEMO_FLEET);
    const api = new ApiClient(address, organisation.administratorKey);
    return new Desk(test, address, organisation, api, fleet, workshops, await startBrowser());
  }

  async close(): Promise<void> {
    await this.browser.close();
    await this.test.close();
  }

  /** A browser of its own in which somebody with this role is signed in, at the beginning. */
  async signedIn(role: Role, visitor: Partial<Visitor> = {}): Promise<Page> {
    const page = await this.visitor(visitor);
    const email = `${role}-${randomUUID()}@tarn-valley.example`;
    const person = { name: NAMES[role], email, role };
    const { invitation } = await this.api.send<PersonWithInvitationDto>('POST', '/v1/people', person);
    const request = page.context().request;
    const accepted = await request.post('/v1/invitation-acceptances', {
      data: { invitation, password: PASSWORD },
      headers: { origin: this.address },
    });
    if (!accepted.ok()) throw new Error(await accepted.text());
    return page;
  }

  /** A browser of its own in which nobody is signed in. Errors of its pages fail the test that looks at `faultsOf`. */
  async visitor({
    width = WIDE.width,
    height = WIDE.height,
    colorScheme = 'light',
    locale = 'en-GB',
    serviceWorkers = 'allow',
  }: Partial<Visitor> = {}): Promise<Page> {
    const context = await this.browser.newContext({
      baseURL: this.address,
      viewport: { width, height },
      colorScheme,
      locale,
      serviceWorkers,
      timezoneId: 'Europe/London',
      reducedMotion: 'reduce',
    });
    this.contexts.push(context);
    // time goes on from the moment that the application believes it to be
    await context.clock.install({ time: TEST_NOW });
    const page = await context.newPage();
    const faults: string[] = [];
    pageFaults.set(page, faults);
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error' && !/Failed to load resource/.test(message.text()))
        faults.push(message.text());
    });
    return page;
  }
}

const pageFaults = new WeakMap<Page, string[]>();

/** What went wrong in a page without being shown: exceptions, refusals of the content security policy. */
export const faultsOf = (page: Page): string[] => pageFaults.get(page) ?? [];

/** What axe finds wrong with the page as it is now, one line each. */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'));
  const violations = await page.evaluate(async (rules) => {
    const { axe } = globalThis as unknown as { axe: { run: typeof run } };
    return (await axe.run({ runOnly: rules })).violations;
  }, AXE_RULES);
  return violations.map(
    ({ id, help, nodes }) => `${id}: ${help}: ${nodes.map(({ html }) => html).join(' ')}`,
  );
}

/** By how many pixels the page has to be moved sideways to be seen whole: 0 at 320 pixels (WCAG 2.2, 1.4.10). */
export function sidewaysOverflow(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}
