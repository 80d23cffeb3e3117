import { Suspense, useEffect, useRef } from 'react';
import { Link, Redirect, Route, Switch, useLocation } from 'wouter';
import { Page, Waiting } from '../../design/page';
import styles from './administration-page.module.css';
import { administrationHome, administrationSections } from './sections';

/** What only administrators decide: one section of it at a time. */
export default function AdministrationPage() {
  const [path] = useLocation();
  const nav = useRef<HTMLElement>(null);
  const open = administrationSections.find(({ home }) => path === home || path.startsWith(`${home}/`));
  const home = open?.home;
  // where there is no room for all of them, the list begins with the section that is open
  useEffect(() => {
    const link = nav.current?.querySelector<HTMLElement>('[aria-current]');
    if (nav.current !== null && link) nav.current.scrollLeft = link.offsetLeft - nav.current.offsetLeft;
  }, [home]);
  if (path.replace(/\/$/, '') === administrationHome)
    return <Redirect href={administrationSections[0].home} replace />;
  return (
    <Page title={open?.name ?? 'Not here'} lead={open?.lead}>
      <div className={styles.parts}>
        <nav ref={nav} aria-label="Administration" className={`screen-only ${styles.nav}`}>
          <ul>
            {administrationSections.map(({ name, home }) => (
              <li key={home}>
                <Link href={home} aria-current={open?.home === home ? 'page' : undefined}>
                  {name}
                </Link>
              </li>
            ))}
          </ul>
        </nav>
        <div className={`stack ${styles.section}`}>
          <Suspense fallback={<Waiting what="the section" />}>
            <Switch>
              {administrationSections.map(({ home, section: Section }) => (
                <Route key={home} path={`${home}/*?`}>
                  <Section />
                </Route>
              ))}
              <Route>
                <p>There is no such section of the administration. Choose one from the list.</p>
              </Route>
            </Switch>
          </Suspense>
        </div>
      </div>
    </Page>
  );
}
