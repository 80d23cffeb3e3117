import { DateTime } from 'luxon';
import type { JobSheet, SheetStep } from '../../core/job-sheet/job-sheet';

/** What stands on a printed sheet. */
export interface PrintedJob {
  sheet: JobSheet;
  registrationMark: string;
  fleetNumber: string | null;
  workshop: string;
  zone: string;
  bay: string;
  technicians: readonly string[];
  startsAt: number;
  endsAt: number;
  note: string | null;
}

// black on white, one column, boxes to write into; no scripts, nothing from elsewhere
const STYLE = `
  @page { size: A4; margin: 14mm 12mm; }
  body { font: 10.5pt/1.35 Georgia, 'Times New Roman', serif; color: #000; max-width: 186mm; margin: 0 auto; }
  h1 { font-size: 15pt; margin: 0 0 2mm; } h2 { font-size: 11.5pt; margin: 5mm 0 1.5mm; }
  .head { display: flex; flex-wrap: wrap; gap: 1mm 6mm; border-bottom: 0.4mm solid #000; padding-bottom: 2mm; }
  .cautions { border: 0.7mm solid #000; padding: 1mm 3mm; } .cautions p { margin: 1mm 0; }
  .step { border-top: 0.2mm solid #000; padding: 2mm 0; break-inside: avoid; }
  .step p { margin: 0.5mm 0; } .title { font-weight: bold; }
  .boxes { display: flex; flex-wrap: wrap; gap: 2mm 4mm; margin-top: 1.5mm; }
  .box { border: 0.3mm solid #000; min-width: 34mm; height: 9mm; padding: 0.5mm 1mm; font-size: 8pt; }
  .sign { display: flex; gap: 4mm; margin-top: 8mm; } .sign div { flex: 1; border-top: 0.3mm solid #000; font-size: 8pt; }
`;

/** The sheet as one page of HTML, made to be printed and written on. Everything that people typed is escaped. */
export function printJobSheet(job: PrintedJob): string {
  const { sheet } = job;
  const when = (at: number): string =>
    DateTime.fromMillis(at, { zone: job.zone, locale: 'en-GB' }).toFormat('ccc d LLL yyyy, HH:mm');
  const head = [
    [
      'Vehicle',
      job.fleetNumber === null ? job.registrationMark : `${job.registrationMark} (${job.fleetNumber})`,
    ],
    ['Workshop', `${job.workshop}, ${job.bay}`],
    ['From', when(job.startsAt)],
    ['Until', when(job.endsAt)],
    ['By', job.technicians.join(', ')],
    ['Minutes', String(sheet.minutes)],
  ].map(([name = '', value = '']) => `<span>${escaped(name)}: <b>${escaped(value)}</b></span>`);
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Job sheet ${escaped(job.registrationMark)}</title>
<style>${STYLE}</style></head><body>
<h1>Job sheet</h1>
<div class="head">${head.join('')}</div>
${job.note === null ? '' : `<p>Note: ${escaped(job.note)}</p>`}
<h2>Before you begin</h2>
<div class="cautions">${[...sheet.cautions, ...sheet.manualNotes].map(({ text }) => `<p>${escaped(text)}</p>`).join('')}
${sheet.safetyFindings.map(({ because, remedy }) => `<p><b>${escaped(because)}: ${escaped(remedy)}.</b></p>`).join('')}</div>
<h2>Steps</h2>
${sheet.steps.map(stepHtml).join('\n')}
${sheet.leftOut.length === 0 ? '' : `<h2>Not part of this job</h2>${sheet.leftOut.map(({ title, because }) => `<p>${escaped(title)}: ${escaped(because)}</p>`).join('')}`}
<h2>Parts and fluid</h2>
<p>Planned: ${escaped(sheet.consumables.map(({ item, quantity, unit }) => `${quantity} ${unit} ${item}`).join(', ') || 'none')}</p>
<div class="boxes">${box('used')}${box('used')}${box('used')}</div>
<h2>Work found</h2><div class="boxes">${box('what')}${box('what')}</div>
<p>Signed off by somebody with: ${escaped(sheet.signOffCompetences.join(', ') || 'no particular competence')}</p>
<div class="sign"><div>name</div><div>date and time</div><div>released / held</div><div>signature</div></div>
</body></html>
`;
}

function stepHtml(step: SheetStep, index: number): string {
  const marks = [
    step.safetyCritical ? 'safety-critical' : '',
    step.beforeRelease ? 'before release' : '',
    step.required ? '' : 'if there is time',
  ].filter((mark) => mark !== '');
  const where = step.position === null ? '' : `, ${step.position.replaceAll('-', ' ')}`;
  return `<div class="step"><p class="title">${index + 1}. ${escaped(step.title + where)}${
    marks.length === 0 ? '' : ` (${escaped(marks.join(', '))})`
  }</p>
${step.instructions.map((line) => `<p>${escaped(line)}</p>`).join('')}
<div class="boxes">${BOXES[step.kind].map(box).join('')}${box('not done, because')}</div></div>`;
}

const BOXES: Readonly<Record<SheetStep['kind'], readonly string[]>> = {
  'odometer-reading': ['odometer'],
  inspection: ['found'],
  'precharge-test': ['bar as read', 'gas °C', 'gauge', 'exchanged for'],
  charge: ['bar as read', 'gas °C', 'gauge', 'exchanged for'],
  'system-test': ['figures', 'gauge', 'passed / failed'],
  task: ['done / failed'],
};

function box(label: string): string {
  return `<div class="box">${escaped(label)}</div>`;
}

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (char) => `&#${char.charCodeAt(0)};`);
}
