import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api } from '../api/client';
import { Button } from '../design/button';
import { useReader } from '../session/session';
import { changeReader } from '../session/session-state';
import { AccountDialog } from './account-dialog';
import styles from './account-menu.module.css';

/** Who is signed in, how they want to read the desk, and the way out. */
export function AccountMenu() {
  const { person, organisation } = useReader().session;
  const queries = useQueryClient();
  const [isOpen, setOpen] = useState(false);
  const signOut = useMutation({
    mutationFn: () => answered(api.DELETE('/v1/session')),
    // also where it was signed out already, or cannot be told: nothing of it stays on the screen
    onSettled: () => changeReader(queries, null),
  });
  return (
    <div className={styles.menu}>
      <p className={styles.who}>
        {person.name}
        <span className="soft small"> {organisation.name}</span>
      </p>
      <Button kind="quiet" onClick={() => setOpen(true)}>
        My settings
      </Button>
      <Button kind="quiet" busy={signOut.isPending} onClick={() => signOut.mutate()}>
        Sign out
      </Button>
      {isOpen ? <AccountDialog onClose={() => setOpen(false)} /> : null}
    </div>
  );
}
