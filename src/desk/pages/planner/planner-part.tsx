import type { ReactNode } from 'react';
import { Link, useLocation } from 'wouter';
import { Page } from '../../design/page';
import { useHasRole } from '../../session/session';
import styles from './planner-part.module.css';

const PARTS = [
  { href: '/planner/due', name: 'Due work' },
  { href: '/planner/availability', name: 'Availability' },
  { href: '/planner/plans', name: 'Plans' },
  { href: '/planner/what-if', name: 'What if' },
  { href: '/planner/demand', name: 'Demand' },
  { href: '/planner/settings', name: 'Settings' },
] as const;

/** Whether the one who is signed in may plan; everybody else looks. */
export const useMayPlan = (): boolean => useHasRole('fleet-planner', 'administrator');

interface PlannerPartProps {
  title: string;
  lead?: ReactNode;
  tools?: ReactNode;
  children: ReactNode;
}

/** A page of the planner with the way to the others. */
export function PlannerPart({ title, lead, tools, children }: PlannerPartProps) {
  const [path] = useLocation();
  const isHere = (href: string): boolean =>
    path === href || path.startsWith(`${href}/`) || (path === '/planner' && href === '/planner/due');
  return (
    <Page title={title} lead={lead} tools={tools}>
      <nav aria-label="Parts of the planner" className={styles.parts}>
        <ul>
          {PARTS.map(({ href, name }) => (
            <li key={href}>
              <Link href={href} aria-current={isHere(href) ? 'page' : undefined}>
                {name}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      {children}
    </Page>
  );
}
