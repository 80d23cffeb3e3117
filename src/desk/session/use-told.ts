import { useCallback } from 'react';
import { datedText } from '../format/dated-text';
import { positionsInWords } from '../format/words';
import { useReader } from './session';

/** Tells sentences of the API as the reader would: with dates as they write them, and positions in words. */
export function useTold(): (sentence: string) => string {
  const { locale } = useReader();
  return useCallback((sentence) => datedText(positionsInWords(sentence), locale), [locale]);
}
