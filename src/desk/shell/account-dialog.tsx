import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api } from '../api/client';
import { Button } from '../design/button';
import { Dialog } from '../design/dialog';
import { SelectField, TextField } from '../design/field';
import { Notice, ProblemNotice } from '../design/notice';
import { chosenTheme, chooseTheme, themes, type Theme } from '../design/theme';
import { usableLocale } from '../format/locale';
import { distanceUnits, pressureUnits, type DistanceUnit, type PressureUnit } from '../format/units';
import { useReader } from '../session/session';
import { keepSession } from '../session/session-state';

interface Preferences {
  locale: string;
  distanceUnit: DistanceUnit | '';
  pressureUnit: PressureUnit | '';
  theme: Theme;
}

const THEME_NAMES: Record<Theme, string> = { system: 'As this computer', light: 'Light', dark: 'Dark' };

export function AccountDialog({ onClose }: { onClose: () => void }) {
  return (
    <Dialog title="My settings" onClose={onClose}>
      <PreferencesForm onKept={onClose} />
      <hr />
      <PasswordForm />
      <div className="row">
        <Button onClick={onClose}>Close</Button>
      </div>
    </Dialog>
  );
}

function PreferencesForm({ onKept }: { onKept: () => void }) {
  const { preferences } = useReader().session;
  const queries = useQueryClient();
  const { register, handleSubmit } = useForm<Preferences>({
    defaultValues: {
      locale: preferences.locale ?? '',
      distanceUnit: preferences.distanceUnit ?? '',
      pressureUnit: preferences.pressureUnit ?? '',
      theme: chosenTheme(),
    },
  });
  const keep = useMutation({
    mutationFn: ({ locale, distanceUnit, pressureUnit, theme }: Preferences) => {
      chooseTheme(theme);
      return answered(
        api.PATCH('/v1/session/preferences', {
          body: {
            locale: locale.trim() === '' ? null : locale.trim(),
            distanceUnit: distanceUnit === '' ? null : distanceUnit,
            pressureUnit: pressureUnit === '' ? null : pressureUnit,
          },
        }),
      );
    },
    onSuccess: (session) => {
      keepSession(queries, session);
      onKept();
    },
  });
  return (
    <form className="stack" onSubmit={(event) => void handleSubmit((form) => keep.mutate(form))(event)}>
      <TextField
        label="Language and region"
        hint={`How dates and numbers are written, such as en-GB or de-AT. Empty: as this browser (${usableLocale(navigator.languages)}).`}
        {...register('locale')}
      />
      <SelectField label="Distances" {...register('distanceUnit')}>
        <option value="">As the operator</option>
        {distanceUnits.map((unit) => (
          <option key={unit}>{unit}</option>
        ))}
      </SelectField>
      <SelectField label="Pressures" {...register('pressureUnit')}>
        <option value="">As the operator</option>
        {pressureUnits.map((unit) => (
          <option key={unit}>{unit}</option>
        ))}
      </SelectField>
      <SelectField label="Light or dark" {...register('theme')}>
        {themes.map((theme) => (
          <option key={theme} value={theme}>
            {THEME_NAMES[theme]}
          </option>
        ))}
      </SelectField>
      <ProblemNotice error={keep.error} />
      <Button kind="main" type="submit" busy={keep.isPending}>
        Keep
      </Button>
    </form>
  );
}

function PasswordForm() {
  const { register, handleSubmit, reset } = useForm({
    defaultValues: { currentPassword: '', newPassword: '' },
  });
  const change = useMutation({
    mutationFn: (body: { currentPassword: string; newPassword: string }) =>
      answered(api.POST('/v1/session/password', { body })),
    onSuccess: () => reset(),
  });
  return (
    <form className="stack" onSubmit={(event) => void handleSubmit((form) => change.mutate(form))(event)}>
      <TextField
        label="Present password"
        type="password"
        autoComplete="current-password"
        required
        {...register('currentPassword')}
      />
      <TextField
        label="New password"
        type="password"
        autoComplete="new-password"
        required
        minLength={10}
        maxLength={200}
        hint="10 characters or more"
        {...register('newPassword')}
      />
      <ProblemNotice error={change.error} />
      {change.isSuccess ? (
        <Notice tone="good" title="Changed. You are signed out everywhere else." live />
      ) : null}
      <Button type="submit" busy={change.isPending}>
        Change the password
      </Button>
    </form>
  );
}
