export const TEST_SECRET = 'a secret for tests only, thirty-two characters and more';
