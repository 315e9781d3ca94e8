"""Longest paths through random acyclic networks as `networkx` finds them, a JSON object a line: the steps (what each
needs, how many days it takes, its earliest start and its latest one) and the length of the longest path.
"""

import json
import random

import networkx


def main():
    dice = random.Random(11)
    for _ in range(200):
        steps = []
        graph = networkx.DiGraph()
        graph.add_node("end")
        for at in range(dice.randint(1, 12)):
            after = [n for n in range(at) if dice.random() < 0.35]
            days = dice.randint(1, 60)
            steps.append({"after": after, "days": days})
            graph.add_edge(at, "end", weight=days)
            for n in after:
                graph.add_edge(n, at, weight=steps[n]["days"])
        longest = networkx.dag_longest_path_length(graph)
        for at, step in enumerate(steps):
            # All before it leads to it and all behind it comes from it: the longest paths of these parts end and begin there.
            before = graph.subgraph(networkx.ancestors(graph, at) | {at})
            behind = graph.subgraph(networkx.descendants(graph, at) | {at})
            step["earliest"] = networkx.dag_longest_path_length(before)
            step["latest"] = longest - networkx.dag_longest_path_length(behind)
        print(json.dumps({"steps": steps, "longest": longest}))


main()
