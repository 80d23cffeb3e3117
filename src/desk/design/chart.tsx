import { LineChart, ScatterChart } from 'echarts/charts';
import { GridComponent, LegendComponent, MarkLineComponent, TooltipComponent } from 'echarts/components';
import { init, use as withParts, type EChartsCoreOption } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';
import { useEffect, useRef, useState } from 'react';
import styles from './chart.module.css';

withParts([
  LineChart,
  ScatterChart,
  GridComponent,
  LegendComponent,
  MarkLineComponent,
  TooltipComponent,
  SVGRenderer,
]);

/** The colours of the page as they are now; a chart does not know of custom properties. */
export interface ChartColours {
  ink: string;
  soft: string;
  line: string;
  accent: string;
  band: string;
  warn: string;
  bad: string;
  sheet: string;
}

interface ChartProps {
  /** read out in place of the picture; the numbers stand in a table beside it */
  label: string;
  /** stable between drawings */
  option: (colours: ChartColours) => EChartsCoreOption;
}

/** A chart as a picture. Whatever it shows is on the page as text too. Load it lazily: the library is big. */
export default function Chart({ label, option }: ChartProps) {
  const place = useRef<HTMLDivElement>(null);
  const dark = useDark();
  useEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const chart = init(element, null, { renderer: 'svg' });
    chart.setOption({ animation: false, ...option(coloursOf(element)) });
    const resized = new ResizeObserver(() => chart.resize());
    resized.observe(element);
    return () => {
      resized.disconnect();
      chart.dispose();
    };
  }, [option, dark]);
  return <div ref={place} role="img" aria-label={label} className={styles.chart} />;
}

const DARK = '(prefers-color-scheme: dark)';

// changes when the colours do
function useDark(): string {
  const now = (): string => `${matchMedia(DARK).matches} ${document.documentElement.dataset.theme ?? ''}`;
  const [dark, setDark] = useState(now);
  useEffect(() => {
    const look = (): void => setDark(now());
    const media = matchMedia(DARK);
    media.addEventListener('change', look);
    const theme = new MutationObserver(look);
    theme.observe(document.documentElement, { attributeFilter: ['data-theme'] });
    return () => {
      media.removeEventListener('change', look);
      theme.disconnect();
    };
  }, []);
  return dark;
}

// `light-dark(…)` is worked out only where a property uses it
function coloursOf(element: HTMLElement): ChartColours {
  const probe = document.createElement('span');
  element.append(probe);
  const of = (token: string): string => {
    probe.style.color = `var(${token})`;
    return getComputedStyle(probe).color;
  };
  const colours = {
    ink: of('--ink'),
    soft: of('--ink-soft'),
    line: of('--line'),
    accent: of('--accent'),
    band: of('--accent-soft'),
    warn: of('--warn'),
    bad: of('--bad'),
    sheet: of('--sheet'),
  };
  probe.remove();
  return colours;
}
