import type { ComponentProps } from 'react';
import { Button } from '../../design/button';
import { useShortcut, useShortcutsOn } from './use-shortcut';

type KeyButtonProps = Omit<ComponentProps<typeof Button>, 'keys' | 'onClick'> & {
  /** pressed by this key as well */
  shortcut: string;
  onClick: () => void;
};

/** A button that shows its key and is pressed by it. */
export function KeyButton({ shortcut, onClick, ...button }: KeyButtonProps) {
  const on = useShortcutsOn();
  const canBePressed = button.disabled !== true && button.busy !== true;
  useShortcut(canBePressed ? shortcut : undefined, onClick);
  return <Button {...button} onClick={onClick} keys={on ? shortcut : undefined} />;
}
