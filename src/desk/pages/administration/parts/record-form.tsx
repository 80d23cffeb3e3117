import { useMutation } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import { ProblemError } from '../../../api/problem';
import { Button } from '../../../design/button';
import { Notice, ProblemNotice } from '../../../design/notice';
import { faultFinder, TypedFault } from './faults';
import { FormFields } from './form-fields';
import { changedFields, mergeChanges, type TheirChange } from './three-way';
import { TheirChanges } from './their-changes';

interface RecordFormProps<Item, Values extends object, Body extends object, Answer> {
  /** what is edited; null for a new one */
  record: Item | null;
  valuesOf: (record: Item | null) => Values;
  /** @throws TypedFault for what cannot be sent at all */
  bodyOf: (values: Values) => Body;
  create?: (body: Body) => Promise<Answer>;
  /** @param patch the fields that were changed here @param base the state that they were changed in */
  change?: (patch: Partial<Body>, base: Item) => Promise<Answer>;
  /** reads the record as it is now, when somebody else has changed it */
  readAgain?: (record: Item) => Promise<Item>;
  onKept: (answer: Answer) => void;
  onCancel?: () => void;
  /** what the button says */
  keep?: string;
  /** where the fields stand in the body, such as `rules/3/` */
  root?: string;
  /** values that are no fields of their own, which nobody is told of when somebody else changed them */
  unshown?: readonly (keyof Values)[];
  /** @param error why it was refused, null while it was not */
  children: (fields: FormFields<Values>, error: unknown) => ReactNode;
}

/** A form for one record. What was typed stays whatever is answered; what somebody else changed meanwhile is shown. */
export function RecordForm<Item, Values extends object, Body extends object, Answer>({
  record,
  valuesOf,
  bodyOf,
  create,
  change,
  readAgain,
  onKept,
  onCancel,
  keep = 'Keep',
  root = '',
  unshown = [],
  children,
}: RecordFormProps<Item, Values, Body, Answer>) {
  const [base, setBase] = useState(record);
  const [values, setValues] = useState(() => valuesOf(record));
  const [theirs, setTheirs] = useState<TheirChange[] | null>(null);

  const save = useMutation({
    mutationFn: async () => {
      const body = bodyOf(values);
      if (base === null) return requireOne(create)(body);
      try {
        return await requireOne(change)(changedFields(bodyOf(valuesOf(base)), body), base);
      } catch (error) {
        if (!(error instanceof ProblemError) || error.status !== 412 || readAgain === undefined) throw error;
        const now = await readAgain(base);
        const merged = mergeChanges(valuesOf(base), values, valuesOf(now));
        setBase(now);
        setValues(merged.values);
        setTheirs(merged.theirChanges.filter(({ key }) => !unshown.includes(key as keyof Values)));
        return null;
      }
    },
    onMutate: () => setTheirs(null),
    onSuccess: (answer) => {
      if (answer !== null) onKept(answer);
    },
  });
  const fields = new FormFields(
    values,
    (patch) => setValues((before) => ({ ...before, ...patch })),
    faultFinder(save.error, root),
  );
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!save.isPending) save.mutate();
      }}
    >
      {children(fields, save.error)}
      {theirs === null ? null : <TheirChanges changes={theirs} />}
      {save.error instanceof TypedFault ? (
        <Notice tone="bad" title={save.error.message} live />
      ) : (
        <ProblemNotice error={save.error} />
      )}
      <div className="row">
        <Button kind="main" type="submit" busy={save.isPending}>
          {theirs === null ? keep : `${keep} all the same`}
        </Button>
        {onCancel === undefined ? null : <Button onClick={onCancel}>Back</Button>}
      </div>
    </form>
  );
}

function requireOne<Call>(call: Call | undefined): Call {
  if (call === undefined) throw new Error('a form cannot do what it offers');
  return call;
}
