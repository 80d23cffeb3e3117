import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow } from './desk';

let desk: Desk;
beforeAll(async () => {
  desk = await Desk.open();
}, 180_000);
afterAll(() => desk.close());

it('asks whoever is not signed in to sign in, and brings nothing from elsewhere', async () => {
  const page = await desk.visitor({ width: 320 });
  const asked: string[] = [];
  page.on('request', (request) => asked.push(new URL(request.url()).origin));
  await page.goto('/');
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  expect(await page.evaluate(() => document.activeElement?.getAttribute('type'))).toBe('email');
  expect(await accessibilityFaults(page)).toEqual([]);
  expect(await sidewaysOverflow(page)).toBe(0);
  expect(new Set(asked)).toEqual(new Set([desk.address]));
  expect(faultsOf(page)).toEqual([]);
});

it.each(['front-desk', 'technician', 'fleet-planner', 'dealer-system', 'administrator'] as const)(
  'shows a %s where to begin',
  async (role) => {
    const page = await desk.signedIn(role);
    await page.goto('/desk/');
    await page.getByRole('navigation').waitFor();
    await page.getByRole('heading', { level: 1 }).waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(faultsOf(page)).toEqual([]);
  },
);

it('says so where a part cannot be loaded, and goes on with the others', async () => {
  const page = await desk.signedIn('front-desk', { serviceWorkers: 'block' });
  await page.goto('/desk/front-desk');
  await page.getByRole('combobox').waitFor();
  // as after an update that has taken the old files away
  await page.route(/\/desk\/assets\/calculators-page/, (route) => route.abort());
  await page.getByRole('link', { name: 'Calculators' }).click();
  await page.getByRole('heading', { name: 'This part cannot be shown' }).waitFor();
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.getByRole('link', { name: 'Front desk' }).click();
  await page.getByRole('combobox').waitFor();
  expect(await page.getByRole('heading', { name: 'This part cannot be shown' }).count()).toBe(0);
});
