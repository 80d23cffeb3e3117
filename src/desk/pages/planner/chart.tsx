import { BarChart, LineChart } from 'echarts/charts';
import { AriaComponent, GridComponent, LegendComponent, TooltipComponent } from 'echarts/components';
import { init, use as withParts, type EChartsType } from 'echarts/core';
import { CanvasRenderer } from 'echarts/renderers';
import { useEffect, useRef } from 'react';
import styles from './chart.module.css';
import type { ChartColours, ChartOption } from './chart-options';

withParts([
  BarChart,
  LineChart,
  AriaComponent,
  GridComponent,
  LegendComponent,
  TooltipComponent,
  CanvasRenderer,
]);

interface ChartProps {
  /** what the picture shows, for whoever does not see it; the table beside it has the numbers */
  label: string;
  optionFor: (colours: ChartColours) => ChartOption;
}

/** A picture of numbers in the colours of the desk. */
export default function Chart({ label, optionFor }: ChartProps) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const chart: EChartsType = init(element);
    const draw = (): void => chart.setOption(optionFor(coloursAt(element)), { notMerge: true });
    draw();
    const sizes = new ResizeObserver(() => chart.resize());
    sizes.observe(element);
    const dark = matchMedia('(prefers-color-scheme: dark)');
    dark.addEventListener('change', draw);
    const chosen = new MutationObserver(draw);
    chosen.observe(document.documentElement, { attributeFilter: ['data-theme'] });
    return () => {
      sizes.disconnect();
      dark.removeEventListener('change', draw);
      chosen.disconnect();
      chart.dispose();
    };
  }, [optionFor]);
  return <div ref={place} role="img" aria-label={label} className={styles.chart} />;
}

/** The tokens as the browser works them out here, light or dark. */
function coloursAt(element: HTMLElement): ChartColours {
  const probe = element.ownerDocument.createElement('span');
  element.append(probe);
  const colourOf = (token: string): string => {
    probe.style.color = `var(--${token})`;
    return getComputedStyle(probe).color;
  };
  const colours = {
    ink: colourOf('ink'),
    soft: colourOf('ink-soft'),
    line: colourOf('line'),
    accent: colourOf('accent'),
    accentSoft: colourOf('accent-soft'),
    info: colourOf('info'),
    bad: colourOf('bad'),
    warn: colourOf('warn'),
    sheet: colourOf('sheet'),
  };
  probe.remove();
  return colours;
}
