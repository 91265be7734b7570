import { Component, type ComponentChild, type ComponentClass } from 'preact';

/**
 * A component that is drawn again only when one of its properties is another: most readings move nothing by as much as can be
 * seen. A remembered picture would do as well, but Preact's pictures hold on to the whole tree they once stood in.
 */
export function still<P extends object>(draw: (props: P) => ComponentChild): ComponentClass<P> {
  return class Still extends Component<P> {
    override shouldComponentUpdate(next: Readonly<P>): boolean {
      const before = this.props as Readonly<P>;
      return (Object.keys(next) as (keyof P)[]).some((name) => next[name] !== before[name]);
    }

    override render() {
      return draw(this.props);
    }
  };
}
