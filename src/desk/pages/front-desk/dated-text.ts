import { dayText } from '../../format/days';

/** A sentence of the API with its dates as the reader writes them. */
export function datedText(sentence: string, locale: string): string {
  return sentence.replace(/\b\d{4}-\d{2}-\d{2}\b/g, (on) => dayText(on, locale));
}
