package selling_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/selling"
)

func ExampleCostWord() {
	word, err := selling.ParseCostWord("blacksmith")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(word.Write("45.41"), word.Write("1069.00"))
	// Output: CK.CB BHST.HH
}

// TestCostWord wants every digit to have a letter of its own, and what is no word told.
func TestCostWord(t *testing.T) {
	for _, text := range []string{"blacksmith", "BLACKSMITH", " Blacksmith ", "абвгдежзик", "いろはにほへとちりぬ"} {
		word, err := selling.ParseCostWord(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		code := word.Write("1234567890")
		if want := strings.ToUpper(strings.TrimSpace(text)); code != want {
			t.Errorf("%s: %s, want %s", text, code, want)
		}
	}
	for text, want := range map[string]string{"": "has 0 letters", "blacksmiths": "has the letter S twice", "tools": "has the letter O twice", "hammer": "has the letter M twice", "blacksmit": "has 9 letters", "1234567890": "which is no letter", "blacksmit-": "which is no letter"} {
		if word, err := selling.ParseCostWord(text); err == nil || !strings.Contains(err.Error(), want) || word.Write("1") != "" {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
	if got := (selling.CostWord{}).Write("45.41"); got != "" {
		t.Errorf("without a word: %s", got)
	}
}
