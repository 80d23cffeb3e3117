import { useState } from 'react';
import { useLocation } from 'wouter';
import { Page } from '../../design/page';
import { Call } from './call';
import { useCallAddress } from './call-address';
import { forgetDraft } from './call-draft';
import { FindBox } from './find-box';
import { KeyButton } from './key-button';
import { KeyList } from './key-list';

/** A caller is on the line: find the vehicle, say what is due and when it can be done, hold that time, book it. */
export default function FrontDeskPage() {
  const { vehicleId, bookingId, open, show, next } = useCallAddress();
  const [, navigate] = useLocation();
  const [picks, setPicks] = useState(0);
  const [showsKeys, setShowsKeys] = useState(false);
  const begin = (): void => {
    forgetDraft();
    next();
  };
  return (
    <Page
      title="Front desk"
      tools={
        <>
          <KeyButton shortcut="?" kind="quiet" onClick={() => setShowsKeys(true)}>
            Keys
          </KeyButton>
          <KeyButton shortcut="N" onClick={begin}>
            Next call
          </KeyButton>
        </>
      }
    >
      <FindBox
        key={`${vehicleId ?? 'none'} ${picks}`}
        takesFocus={vehicleId === null}
        onPick={(found) => {
          setPicks(picks + 1);
          if (found.vehicleId === null) navigate(`/units/${found.id}`);
          else if (found.vehicleId !== vehicleId) open(found.vehicleId);
        }}
      />
      {vehicleId === null ? (
        <p className="soft">Which vehicle is it? Ask for its mark, and type while the caller speaks.</p>
      ) : (
        <Call key={vehicleId} vehicleId={vehicleId} bookingId={bookingId} onShow={show} onNext={begin} />
      )}
      <p className="soft small">
        The software advises. The maker's manual, local law and a licensed person decide.
      </p>
      {showsKeys ? <KeyList onClose={() => setShowsKeys(false)} /> : null}
    </Page>
  );
}
