import { useId } from 'react';
import { Link } from 'wouter';
import { SHAPES } from '../../../design/tone';
import { FONT_SIZE, LINE_HEIGHT, SYMBOL_WIDTH, type Part, type Pipe, type SystemDrawing } from './scheme';
import { PartSymbol } from './symbols';
import { SystemInWords } from './system-in-words';
import styles from './system-drawing.module.css';

const CROSS = 'M2 2L14 14M14 2L2 14';
const MARK = 16;

/** The fluid system of one vehicle; its gas units lead to their pages. The same stands below it in words. */
export function FluidSystem({ drawing, of }: { drawing: SystemDrawing; of: string }) {
  const titleId = useId();
  const { width, height, parts, pipes } = drawing;
  return (
    <figure className={styles.figure}>
      <figcaption id={titleId} className="unseen">
        How the fluid system of {of} is connected
      </figcaption>
      <div className={`scroll ${styles.sheet}`} tabIndex={0} role="region" aria-labelledby={titleId}>
        <svg
          viewBox={`0 0 ${width} ${height}`}
          role="group"
          aria-labelledby={titleId}
          className={styles.drawing}
        >
          <g aria-hidden="true">
            {pipes.map((pipe) => (
              <PipeLine key={`${pipe.from.part} ${pipe.from.port} ${pipe.to.part}`} pipe={pipe} />
            ))}
            {parts
              .filter(({ id, symbol }) => symbol === 'junction' && pipesAt(pipes, id) > 2)
              .map(({ id, box }) => (
                <circle key={id} cx={box.x} cy={box.y} r={4} className={styles.junction} />
              ))}
          </g>
          {parts
            .filter(({ symbol }) => symbol !== 'junction')
            .map((part) => (
              <PartInPlace key={part.id} part={part} />
            ))}
        </svg>
      </div>
      <Legend />
      <SystemInWords drawing={drawing} of={of} />
    </figure>
  );
}

const pipesAt = (pipes: readonly Pipe[], id: string): number =>
  pipes.filter(({ from, to }) => from.part === id || to.part === id).length;

function PipeLine({ pipe: { points, certainty } }: { pipe: Pipe }) {
  const path = points.map(({ x, y }, index) => `${index === 0 ? 'M' : 'L'}${x} ${y}`).join('');
  return <path d={path} className={`${styles.pipe} ${styles[certainty]}`} />;
}

function PartInPlace({ part }: { part: Part }) {
  const { unit } = part;
  if (unit === undefined || unit.gasUnitId === null)
    return (
      <g aria-hidden="true">
        <PartBox part={part} />
      </g>
    );
  return (
    <Link href={`/units/${unit.gasUnitId}`} className={styles.unit}>
      <PartBox part={part} />
    </Link>
  );
}

function PartBox({ part }: { part: Part }) {
  const { box, lines, certainty, symbol, unit, missing = false } = part;
  if (symbol === 'junction') return null;
  const tone = missing ? 'bad' : unit?.condition.tone;
  const middle = box.y + box.height / 2;
  const firstLine = middle - ((lines.length - 1) * LINE_HEIGHT) / 2;
  const symbolX = box.x + SYMBOL_WIDTH / 2;
  return (
    <>
      <rect
        {...{ x: box.x, y: box.y, width: box.width, height: box.height }}
        rx={4}
        className={`${styles.box} ${styles[certainty]} ${tone === undefined ? '' : styles[tone]}`}
      />
      <PartSymbol symbol={symbol} x={symbolX} y={tone === undefined ? middle : box.y + 38} />
      {tone === undefined ? null : (
        <path
          d={tone === 'none' ? CROSS : SHAPES[tone]}
          transform={`translate(${symbolX - MARK / 2} ${box.y + box.height - MARK - 12})`}
          className={`${styles.mark} ${styles[tone]}`}
        />
      )}
      <text x={box.x + SYMBOL_WIDTH} y={firstLine} fontSize={FONT_SIZE} className={styles.text}>
        {lines.map(({ text, bold }, index) => (
          <tspan
            key={index}
            x={box.x + SYMBOL_WIDTH}
            y={firstLine + index * LINE_HEIGHT}
            fontWeight={bold ? 700 : undefined}
          >
            {`${text} `}
          </tspan>
        ))}
      </text>
    </>
  );
}

function Legend() {
  return (
    <p className="small soft">
      It shows how the parts are connected, not where they sit or how pipes run. Dashed: nobody has verified
      it. Dotted: only the maker&apos;s workshop manual tells. Returns to the reservoir are left out.
    </p>
  );
}
