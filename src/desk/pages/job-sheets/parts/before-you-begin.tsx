import { Notice } from '../../../design/notice';
import type { Sheet } from '../job/kept-job';

/** What can hurt somebody on this layout, what is wrong with it, and where the maker's manual rules. */
export function CautionList({ sheet }: { sheet: Sheet }) {
  const { cautions, manualNotes, safetyFindings } = sheet;
  return (
    <>
      {safetyFindings.map(({ code, because, remedy }) => (
        <Notice key={code} tone="bad" title={`${sentence(because)}.`}>
          <p>{sentence(remedy)}.</p>
        </Notice>
      ))}
      <Notice tone="warn" title="Before you begin">
        <ul>
          {cautions.map(({ code, text }) => (
            <li key={code}>{text}</li>
          ))}
        </ul>
      </Notice>
      {manualNotes.length === 0 ? null : (
        <Notice tone="info" title="The maker's workshop manual rules here">
          <ul>
            {manualNotes.map(({ code, text }) => (
              <li key={code}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
    </>
  );
}

export function BeforeYouBegin({ sheet, note }: { sheet: Sheet; note: string | null }) {
  return (
    <section className="stack" aria-label="Before you begin">
      <CautionList sheet={sheet} />
      {note === null ? null : <p>Note of the booking: {note}</p>}
      {sheet.leftOut.length === 0 ? null : (
        <details>
          <summary>Not part of this job ({sheet.leftOut.length})</summary>
          <ul>
            {sheet.leftOut.map(({ title, because }, index) => (
              <li key={index}>
                {title}: {because}
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
