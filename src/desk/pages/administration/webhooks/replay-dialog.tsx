import { useState } from 'react';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { Notice } from '../../../design/notice';
import { useReadAgain } from '../parts/lists';
import { RecordForm } from '../parts/record-form';
import { instantOf } from '../../../format/days';
import { readersZone, useMomentText } from '../parts/use-moment-text';

/** Everything since a moment once more, delivered or not. */
export function ReplayDialog({ endpointId, onClose }: { endpointId: string; onClose: () => void }) {
  const readAgain = useReadAgain();
  const momentText = useMomentText();
  const [replayed, setReplayed] = useState<Schemas['ReplayedSinceDto'] | null>(null);
  return (
    <Dialog title="Send everything again since" onClose={onClose}>
      {replayed === null ? (
        <RecordForm
          record={null}
          valuesOf={() => ({ since: '' })}
          bodyOf={({ since }) => ({ since: instantOf(since, readersZone()) })}
          create={(body) =>
            answered(
              api.POST('/v1/webhook-endpoints/{webhookEndpointId}/replay', {
                params: { path: { webhookEndpointId: endpointId } },
                body,
              }),
            )
          }
          onKept={(answer) => {
            readAgain('webhooks', endpointId);
            setReplayed(answer);
          }}
          onCancel={onClose}
          keep="Send again"
        >
          {(fields) =>
            fields.moment('since', 'Since', {
              hint: 'In order, what was delivered as well. The receiver knows repetitions by their webhook-id.',
            })
          }
        </RecordForm>
      ) : (
        <>
          <Notice
            tone="good"
            live
            title={
              replayed.firstRecordedAt === null
                ? 'There is nothing since then.'
                : `Everything since ${momentText(replayed.firstRecordedAt)} is sent again.`
            }
          />
          <div className="row">
            <Button onClick={onClose}>Close</Button>
          </div>
        </>
      )}
    </Dialog>
  );
}
