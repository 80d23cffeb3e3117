import type { SymbolName } from './scheme';
import styles from './system-drawing.module.css';

// Signs in the spirit of ISO 1219-1, drawn around the middle of a square of 44 units.

const LINES: Record<Exclude<SymbolName, 'junction'>, string[]> = {
  reservoir: ['M-17-8V13H17V-8', 'M0-18V6', 'M-17 2H17'],
  pump: ['M-17 0a17 17 0 1 0 34 0a17 17 0 1 0-34 0'],
  'pump-with-two-outlets': ['M-17 0a17 17 0 1 0 34 0a17 17 0 1 0-34 0'],
  regulator: ['M-14-14H14V14H-14Z', 'M-8-8V8M8-8V8', 'M14-3l3-3v6l3-3v6l3-3'],
  'adjustable-regulator': [
    'M-14-14H14V14H-14Z',
    'M-8-8V8M8-8V8',
    'M14-3l3-3v6l3-3v6l3-3',
    'M8 18L24-16M24-16l-7 4M24-16l1 8',
  ],
  'gas-unit': ['M-12-10a12 12 0 0 1 24 0V10a12 12 0 0 1-24 0Z', 'M-12 2H12', 'M-6-5H6L0-14Z'],
  'safety-valve': [
    'M-15-15H15V15H-15Z',
    'M-15-5H15',
    'M-9-10H9M9-10l-5-3M9-10l-5 3',
    'M-9 5H9M-9 0V10M9 0V10',
  ],
  'height-corrector': ['M-21-9H21V9H-21Z', 'M-7-9V9M7-9V9', 'M-14 5V-5M14 5V-5M-3-5H3M-3 5H3', 'M0-9V-18H14'],
  'shut-off-valve': ['M-18-10V10L18-10V10Z', 'M0 0V-14M-6-14H6'],
  brake: [
    'M-16 0a16 16 0 1 0 32 0a16 16 0 1 0-32 0',
    'M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0',
    'M10-18H19V18H10',
  ],
  steering: ['M-14-8H14V8H-14Z', 'M-22 0H-3M3 0H22', 'M-3-8V8M3-8V8'],
};

// outlets are solid triangles that point the way the fluid goes
const SOLID: Partial<Record<SymbolName, string[]>> = {
  pump: ['M16 0L6-6V6Z'],
  'pump-with-two-outlets': ['M16 0L6-6V6Z', 'M0-16L-6-6H6Z'],
  regulator: ['M0-9L-4-2H4Z'],
  'adjustable-regulator': ['M0-9L-4-2H4Z'],
};

export function PartSymbol({
  symbol,
  x,
  y,
}: {
  symbol: Exclude<SymbolName, 'junction'>;
  x: number;
  y: number;
}) {
  return (
    <g transform={`translate(${x} ${y})`} className={styles.symbol}>
      {LINES[symbol].map((path) => (
        <path key={path} d={path} />
      ))}
      {SOLID[symbol]?.map((path) => (
        <path key={path} d={path} className={styles.solid} />
      ))}
    </g>
  );
}
