import { Link, Redirect, useParams } from 'wouter';
import { Page } from '../../design/page';
import { CalculatorForm } from './calculator-form';
import { CALCULATORS } from './gas-calculators';
import { LayoutForm } from './layout-form';
import styles from './calculators.module.css';

const LAYOUT = {
  id: 'hydraulic-layout',
  name: 'Hydraulic layout',
  lead: 'What follows from the facts of a layout.',
};

/** What the workshop works out; in the page, so that it needs no connection. */
export default function CalculatorsPage() {
  const { calculator: id } = useParams();
  const all = [...CALCULATORS, LAYOUT];
  const chosen = all.find((each) => each.id === id);
  const calculator = CALCULATORS.find((each) => each.id === id);
  if (chosen === undefined)
    return <Redirect href={`/calculators/${CALCULATORS[0]?.id ?? LAYOUT.id}`} replace />;
  return (
    <Page title={chosen.name} lead={chosen.lead}>
      <nav aria-label="Calculators">
        <ul className={styles.choice}>
          {all.map((each) => (
            <li key={each.id}>
              <Link href={`/calculators/${each.id}`} aria-current={each.id === id ? 'page' : undefined}>
                {each.name}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      {calculator === undefined ? <LayoutForm /> : <CalculatorForm key={id} calculator={calculator} />}
    </Page>
  );
}
