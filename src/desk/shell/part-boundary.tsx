import { Component, type ReactNode } from 'react';
import { Button } from '../design/button';
import { Page } from '../design/page';

interface PartBoundaryProps {
  children: ReactNode;
}

/**
 * Says so where a part of the desk cannot be drawn, instead of nothing at all: most often a later version has taken the
 * place of the one whose part is asked for.
 */
export class PartBoundary extends Component<PartBoundaryProps, { failed: boolean }> {
  override state = { failed: false };

  static getDerivedStateFromError(): { failed: boolean } {
    return { failed: true };
  }

  override render(): ReactNode {
    if (!this.state.failed) return this.props.children;
    return (
      <Page title="This part cannot be shown">
        <p role="alert">
          There may be a new version of the desk, or no connection. Loading the page again helps with the
          first.
        </p>
        <div className="row">
          <Button kind="main" onClick={() => location.reload()}>
            Load the page again
          </Button>
        </div>
      </Page>
    );
  }
}
