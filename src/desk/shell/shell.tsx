import { Suspense } from 'react';
import { Link, Redirect, Route, Switch, useLocation } from 'wouter';
import { Page, Waiting } from '../design/page';
import { useReader } from '../session/session';
import { AccountMenu } from './account-menu';
import { pagesOf } from './pages';
import { PartBoundary } from './part-boundary';
import { homeOf, sections } from './sections';
import styles from './shell.module.css';

/** What stands around every page: where one can go, and who is signed in. */
export function Shell() {
  const { role } = useReader().session.person;
  const [path] = useLocation();
  const open = sections.filter(({ roles }) => roles.includes(role));
  return (
    <>
      <a className={styles.skip} href="#page">
        To the page
      </a>
      <header className={styles.bar}>
        <nav aria-label="Parts of the desk">
          <ul className={styles.parts}>
            {open.map(({ name, home }) => (
              <li key={home}>
                <Link
                  href={home}
                  aria-current={path === home || path.startsWith(`${home}/`) ? 'page' : undefined}
                >
                  {name}
                </Link>
              </li>
            ))}
          </ul>
        </nav>
        <AccountMenu />
      </header>
      <PartBoundary key={path.split('/')[1]}>
        <Suspense
          fallback={
            <main className={styles.waiting}>
              <Waiting what="the page" />
            </main>
          }
        >
          <Switch>
            <Route path="/">
              <Redirect href={homeOf(role)} replace />
            </Route>
            {open.flatMap(({ home }) =>
              pagesOf[home].map(({ path: pattern, page: PageOf }) => (
                <Route key={pattern} path={pattern}>
                  <PageOf />
                </Route>
              )),
            )}
            <Route>
              <Page title="Not here">
                <p>
                  There is no such page, or it is not for your role.{' '}
                  <Link href={homeOf(role)}>To the beginning</Link>
                </p>
              </Page>
            </Route>
          </Switch>
        </Suspense>
      </PartBoundary>
    </>
  );
}
