import { useState } from 'react';
import { Button } from '../../design/button';
import { Dialog } from '../../design/dialog';
import { CheckField } from '../../design/field';
import { singleKeysOn, switchSingleKeys } from './shortcuts';

const KEYS: readonly { title: string; keys: readonly [keys: string, does: string][] }[] = [
  {
    title: 'The whole page',
    keys: [
      ['P', 'the day or week before'],
      ['N', 'the next day or week'],
      ['T', 'today'],
      ['D', 'by day'],
      ['W', 'by week'],
      ['B', 'by bay, or by person'],
      ['?', 'these keys'],
    ],
  },
  {
    title: 'On a booking',
    keys: [
      ['Arrows', 'to the booking beside it, before or after it'],
      ['Enter', 'opens it'],
      ['M', 'takes it in hand to move it'],
    ],
  },
  {
    title: 'With a booking in hand',
    keys: [
      ['Up, Down', 'a quarter of an hour earlier or later; with Shift an hour'],
      ['Left, Right', 'the bay or the person beside it'],
      ['Page Up, Page Down', 'the same time a day before or after'],
      ['Enter', 'keeps it there'],
      ['Escape', 'leaves it where it stood'],
    ],
  },
  {
    title: 'After a refusal',
    keys: [
      ['T', 'takes the nearest free time'],
      ['Escape', 'leaves it where it stood'],
    ],
  },
];

/** What the keys do here. */
export function KeysDialog({ onClose }: { onClose: () => void }) {
  const [on, setOn] = useState(singleKeysOn);
  return (
    <Dialog title="Keys of the diary" onClose={onClose}>
      {KEYS.map(({ title, keys }) => (
        <section key={title}>
          <h3>{title}</h3>
          <ul>
            {keys.map(([key, does]) => (
              <li key={key}>
                <kbd>{key}</kbd> {does}
              </li>
            ))}
          </ul>
        </section>
      ))}
      <CheckField
        label="Single keys for the whole page"
        hint="Switch them off if you speak to this device. The keys on a booking stay."
        checked={on}
        onChange={({ target }) => {
          setOn(target.checked);
          switchSingleKeys(target.checked);
        }}
      />
      <div className="row">
        <Button kind="main" onClick={onClose}>
          Close
        </Button>
      </div>
    </Dialog>
  );
}
