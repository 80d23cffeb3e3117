import { useEffect, useRef, type PointerEvent } from 'react';
import type { Booking } from './booking-words';
import { quarterAt, type Period } from './day-axis';
import { keepsStart, overColumn, placeOf, type Moving } from './use-move';

// a hand that only presses is not quite still
const STILL_PX = 5;

interface Grip {
  booking: Booking;
  columnId: string;
  x: number;
  y: number;
  /** from the start of the booking to the pointer */
  heldMs: number;
  begun: boolean;
}

/**
 * Dragging with a mouse or a pen. Fingers scroll; they move a booking by the buttons of its move. The columns are found by
 * `data-column` below `place`, their bodies are as high as the axis is long.
 */
export function useDrag(
  moving: Moving,
  by: 'bays' | 'people',
  axis: Period,
  place: () => HTMLElement | null,
) {
  const grip = useRef<Grip | null>(null);
  const pressed = useRef(false);
  const { move, giveUp } = moving;
  const dragged = move?.dragged === true;
  useEffect(() => {
    if (!dragged) return;
    const onKey = (event: KeyboardEvent): void => {
      if (event.key !== 'Escape') return;
      event.preventDefault();
      grip.current = null;
      giveUp();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [dragged, giveUp]);

  const columns = (): HTMLElement[] => [...(place()?.querySelectorAll<HTMLElement>('[data-column]') ?? [])];
  const timeAt = (y: number, body: HTMLElement): number => {
    const { top, height } = body.getBoundingClientRect();
    return axis.startsAt + ((y - top) / height) * (axis.endsAt - axis.startsAt);
  };
  const bodyUnder = (x: number): HTMLElement | undefined =>
    columns().find((body) => {
      const { left, right } = body.getBoundingClientRect();
      return left <= x && x < right;
    });

  return {
    onPointerDown: (event: PointerEvent<HTMLElement>, booking: Booking, columnId: string): void => {
      const body = bodyUnder(event.clientX);
      pressed.current = false;
      if (event.pointerType === 'touch' || event.button !== 0 || body === undefined || moving.saving) return;
      const heldMs = timeAt(event.clientY, body) - Date.parse(booking.startsAt);
      grip.current = { booking, columnId, x: event.clientX, y: event.clientY, heldMs, begun: false };
    },
    onPointerMove: (event: PointerEvent<HTMLElement>): void => {
      const held = grip.current;
      if (held === null) return;
      if (!held.begun) {
        if (Math.hypot(event.clientX - held.x, event.clientY - held.y) < STILL_PX) return;
        held.begun = true;
        pressed.current = true;
        event.currentTarget.setPointerCapture(event.pointerId);
        moving.begin(held.booking, held.columnId, true);
      }
      const body = bodyUnder(event.clientX);
      const columnId = body?.dataset.column;
      if (body === undefined || columnId === undefined) return;
      const from = {
        booking: held.booking,
        fromColumnId: held.columnId,
        columnId,
        to: placeOf(held.booking),
        dragged: true,
      };
      const share =
        (timeAt(event.clientY, body) - held.heldMs - axis.startsAt) / (axis.endsAt - axis.startsAt);
      const startsAt = keepsStart(held.booking) ? from.to.startsAt : quarterAt(share, axis);
      moving.hold({ ...from, to: { ...overColumn(from, by, columnId), startsAt } });
    },
    onPointerUp: (): void => {
      if (grip.current?.begun === true) moving.keep();
      grip.current = null;
    },
    onPointerCancel: (): void => {
      if (grip.current?.begun === true) moving.giveUp();
      grip.current = null;
    },
    /** Whether the click that follows belongs to a drag. */
    wasDrag: (): boolean => pressed.current,
  };
}

export type Drag = ReturnType<typeof useDrag>;
