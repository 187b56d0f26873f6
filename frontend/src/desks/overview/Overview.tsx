export default function Overview() {
  return <h1>The archive</h1>;
}
